"""Files for systems without an API: which there are, how each stands, what the files hold."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plant import access, exchange_columns
from plant.access import needs
from plant.exchange.columns import Columns
from plant.models import ExchangeSetting, Feed
from plant.models.webhook import FEED_WORDS
from plant.roles import Permission
from plant.selectors import exchange_pages as selectors
from plant.selectors import feed_entries
from plant.services.exchange import folders

_ROWS = 25
_RUNS = 15


@require_safe
@needs(Permission.ADMINISTER)
def exchanges(request: HttpRequest) -> HttpResponse:
    rows = access.visible(ExchangeSetting.objects.all(), request.user)
    page = Paginator(selectors.settings_listed(rows), _ROWS).get_page(request.GET.get("page"))
    context = {"page": page, "is_on": folders.is_on()}
    return render(request, "plant/exchange/list.html", context)


@require_safe
@needs(Permission.ADMINISTER)
def one(request: HttpRequest, pk: int) -> HttpResponse:
    setting = setting_asked(request, pk)
    runs = Paginator(selectors.runs_of(setting), _RUNS).get_page(request.GET.get("page"))
    context = {
        "setting": setting,
        "plant": setting.plant,
        "path": folders.path_of(setting),
        "is_on": folders.is_on(),
        "feeds": selectors.feeds_of(setting),
        "owed": selectors.owed_run_of(setting),
        "page": runs,
    }
    return render(request, "plant/exchange/one.html", context)


@require_safe
@needs(Permission.ADMINISTER)
def formats(request: HttpRequest) -> HttpResponse:
    columns = [
        (
            FEED_WORDS[feed],
            feed_entries.WIRE_NAMES[feed],
            Columns(exchange_columns.of(feed)).header(),
        )
        for feed in Feed
    ]
    return render(request, "plant/exchange/format.html", {"columns": columns})


def setting_asked(request: HttpRequest, pk: int) -> ExchangeSetting:
    rows = ExchangeSetting.objects.select_related("plant", "system", "set_by")
    return access.one_visible(rows, request.user, pk=pk)
