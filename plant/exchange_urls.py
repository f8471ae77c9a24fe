"""Addresses of files for systems without an API."""

from django.urls import path

from plant.views import exchange, exchange_keeping, exchange_runs

urlpatterns = [
    path("exchange/", exchange.exchanges, name="exchange-list"),
    path("exchange/new/", exchange_keeping.new, name="exchange-new"),
    path("exchange/format/", exchange.formats, name="exchange-format"),
    path("exchange/<int:pk>/", exchange.one, name="exchange"),
    path("exchange/<int:pk>/change/", exchange_keeping.change, name="exchange-change"),
    path("exchange/<int:pk>/end/", exchange_keeping.end, name="exchange-end"),
    path("exchange/<int:pk>/<slug:feed>/anew/", exchange_keeping.anew, name="exchange-anew"),
    path("exchange/<int:pk>/run/", exchange_runs.ask, name="exchange-ask"),
    path("exchange/runs/<int:pk>/", exchange_runs.run, name="exchange-run"),
    path("exchange/runs/<int:pk>/progress/", exchange_runs.progress, name="exchange-run-progress"),
    path("exchange/runs/<int:pk>/stop/", exchange_runs.stop, name="exchange-run-stop"),
]
