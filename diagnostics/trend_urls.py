"""Addresses of the trend pages."""

from django.urls import path

from diagnostics.views import belt_trend, trends

urlpatterns = [
    path("trends/", trends.trends, name="trends"),
    path("trends/<slug:table>.csv", trends.trends_file, name="trends-file"),
    path(
        "conveyors/<str:plant_code>/<str:tag>/trend/",
        belt_trend.conveyor_trend,
        name="conveyor-trend",
    ),
    path(
        "conveyors/<str:plant_code>/<str:tag>/trend/<slug:table>.csv",
        belt_trend.conveyor_trend_file,
        name="conveyor-trend-file",
    ),
]
