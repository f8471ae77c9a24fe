"""Addresses of what goes out: job sheets, calendars, lists."""

from django.urls import path

from workorders.views import crew_calendars, job_sheets, order_files, papers

urlpatterns = [
    path("work/papers/", papers.papers, name="papers"),
    path("work/orders.csv", order_files.orders_file, {"kind": "csv"}, name="orders-csv"),
    path("work/orders.xlsx", order_files.orders_file, {"kind": "xlsx"}, name="orders-xlsx"),
    path("work/papers/plan.csv", order_files.plan_file, {"kind": "csv"}, name="plan-csv"),
    path("work/papers/plan.xlsx", order_files.plan_file, {"kind": "xlsx"}, name="plan-xlsx"),
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
