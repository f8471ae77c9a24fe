"""Addresses of diagnosis under /api/v1/."""

from django.urls import path, re_path

from diagnostics.api import views

urlpatterns = [
    path("complaints", views.ComplaintList.as_view(), name="api-complaints"),
    # As many digits as a key can have; a longer one is no resource.
    re_path(
        r"^complaints/(?P<id>[0-9]{1,18})$", views.ComplaintOne.as_view(), name="api-complaint"
    ),
]
