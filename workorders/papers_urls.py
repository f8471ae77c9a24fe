"""Addresses of what goes out: job sheets, calendars, lists."""

from django.urls import path

from workorders.views import crew_calendars, job_sheets, papers

urlpatterns = [
    path("work/papers/", papers.papers, name="papers"),
    path("work/papers/window/<int:pk>/pack.pdf", job_sheets.window_pack, name="paper-window-pack"),
    path("work/crews/<int:pk>/calendar/", crew_calendars.crew_calendar, name="crew-calendar"),
    path(
        "work/crews/<int:pk>/calendar.ics",
        crew_calendars.crew_calendar_file,
        name="crew-calendar-file",
    ),
    path("calendar/<int:pk>/<str:token>.ics", crew_calendars.crew_feed, name="crew-feed"),
    path("work/<order_number:number>/sheet.pdf", job_sheets.order_sheet, name="order-sheet"),
]
