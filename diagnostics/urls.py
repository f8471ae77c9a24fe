"""Addresses of the diagnosis pages."""

from django.urls import include, path

urlpatterns = [
    path("", include("diagnostics.complaint_urls")),
    path("", include("diagnostics.case_urls")),
    path("", include("diagnostics.pocket_urls")),
    path("", include("diagnostics.photo_urls")),
    path("", include("diagnostics.note_urls")),
    path("", include("diagnostics.knowledge_urls")),
    path("", include("diagnostics.learning_urls")),
    path("", include("diagnostics.edition_urls")),
    path("", include("diagnostics.trial_urls")),
    path("", include("diagnostics.bundle_urls")),
    path("", include("diagnostics.offender_urls")),
    path("", include("diagnostics.trend_urls")),
    path("", include("diagnostics.what_if_urls")),
    path("", include("diagnostics.register_check_urls")),
]
