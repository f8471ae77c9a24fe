"""Addresses of outage windows, series, calendars, crews and absences."""

from django.urls import path

from workorders.views import absences, calendars, crew_keeping, crews, series, windows

urlpatterns = [
    path("work/windows/", windows.windows, name="windows"),
    path("work/windows/of/<str:plant_code>/", windows.windows_of, name="windows-of"),
    path("work/windows/of/<str:plant_code>/new/", windows.window_new, name="window-new"),
    path("work/windows/<int:pk>/", windows.window, name="window"),
    path("work/windows/<int:pk>/move/", windows.window_move, name="window-move"),
    path("work/windows/<int:pk>/call-off/", windows.window_call_off, name="window-call-off"),
    path("work/windows/<int:pk>/take-up/", windows.window_take_up, name="window-take-up"),
    path("work/windows/of/<str:plant_code>/repeating/", series.series, name="window-series-of"),
    path(
        "work/windows/of/<str:plant_code>/repeating/new/",
        series.series_new,
        name="window-series-new",
    ),
    path("work/windows/repeating/<int:pk>/", series.series_page, name="window-series"),
    path("work/windows/repeating/<int:pk>/end/", series.series_end, name="window-series-end"),
    path("work/windows/of/<str:plant_code>/calendars/", calendars.calendars, name="calendars-of"),
    path("work/windows/calendars/<int:pk>/", calendars.calendar, name="calendar"),
    path("work/crews/", crews.crews, name="crews"),
    path("work/crews/of/<str:plant_code>/", crews.crews_of, name="crews-of"),
    path("work/crews/of/<str:plant_code>/new/", crew_keeping.crew_new, name="crew-new"),
    path("work/crews/<int:pk>/", crews.crew, name="crew"),
    path("work/crews/<int:pk>/edit/", crew_keeping.crew_edit, name="crew-edit"),
    path("work/crews/<int:pk>/shifts/", crew_keeping.crew_shifts, name="crew-shifts"),
    path("work/crews/<int:pk>/retire/", crew_keeping.crew_retire, name="crew-retire"),
    path("work/crews/<int:pk>/bring-back/", crew_keeping.crew_bring_back, name="crew-bring-back"),
    path("work/crews/<int:pk>/away/", absences.crew_away, name="crew-away"),
    path(
        "work/crews/absences/<int:pk>/take-back/",
        absences.absence_take_back,
        name="absence-take-back",
    ),
    path(
        "work/crews/absences/<int:pk>/put-back/", absences.absence_put_back, name="absence-put-back"
    ),
]
