"""Addresses of the pictures and drawings of a conveyor."""

from django.urls import path

from plant.views import attachment_files, attachments

urlpatterns = [
    path("", attachments.attachments, name="attachments"),
    path("<int:pk>/", attachment_files.attachment, name="attachment"),
    path("<int:pk>/small/", attachment_files.attachment_small, name="attachment-small"),
    path("<int:pk>/caption/", attachments.attachment_caption, name="attachment-caption"),
    path("<int:pk>/stands/", attachments.attachment_stands, name="attachment-stands"),
]
