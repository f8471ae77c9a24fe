"""Addresses of status files that were picked up."""

from django.urls import path

from workorders.views import status_files

urlpatterns = [
    path("exchange/<int:pk>/status-files/", status_files.files, name="exchange-status-files"),
    path("exchange/<int:pk>/status-files/stop/", status_files.stop, name="exchange-status-stop"),
    path("exchange/status-files/<int:pk>/", status_files.one, name="status-file"),
    path("exchange/status-files/<int:pk>/report/", status_files.report, name="status-file-report"),
]
