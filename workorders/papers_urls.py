"""Addresses of what goes out: job sheets, calendars, lists."""

from django.urls import path

from workorders.views import job_sheets, papers

urlpatterns = [
    path("work/papers/", papers.papers, name="papers"),
    path("work/papers/window/<int:pk>/pack.pdf", job_sheets.window_pack, name="paper-window-pack"),
    path("work/<order_number:number>/sheet.pdf", job_sheets.order_sheet, name="order-sheet"),
]
