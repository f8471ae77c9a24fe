"""Addresses of the monthly report."""

from django.urls import path

from workorders.views import monthly_report_setting, monthly_reports

_PAGES = "trends/monthly"
# Codes of plants may be figures, too; they are never small letters.
_REPORT = f"{_PAGES}/reports/<int:pk>"

urlpatterns = [
    path(f"{_PAGES}/", monthly_reports.monthly_reports, name="monthly-reports"),
    path(f"{_REPORT}/", monthly_reports.report, name="monthly-report"),
    path(f"{_REPORT}/report.pdf", monthly_reports.file, name="monthly-report-file"),
    path(f"{_REPORT}/progress/", monthly_reports.progress, name="monthly-report-progress"),
    path(f"{_REPORT}/stop/", monthly_reports.stop, name="monthly-report-stop"),
    path(f"{_REPORT}/again/", monthly_reports.again, name="monthly-report-again"),
    path(f"{_REPORT}/delete/", monthly_reports.delete, name="monthly-report-delete"),
    path(
        f"{_PAGES}/<str:plant_code>/by-itself/",
        monthly_report_setting.setting,
        name="monthly-report-setting",
    ),
    path(f"{_PAGES}/<str:plant_code>/", monthly_reports.reports_of, name="monthly-reports-of"),
]
