"""Addresses of the diagnosis pages."""

from django.urls import include, path

urlpatterns = [
    path("", include("diagnostics.knowledge_urls")),
    path("", include("diagnostics.trend_urls")),
]
