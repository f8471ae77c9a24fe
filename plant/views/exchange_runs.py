"""Runs of exchange files: asked for, watched, stopped, read."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from plant import access, exchange_words
from plant.access import needs
from plant.errors import DomainError
from plant.models import ExchangeRun
from plant.roles import Permission
from plant.selectors import exchange_pages as selectors
from plant.services.exchange import asking
from plant.views.exchange import setting_asked

_FILES = 25


@require_POST
@needs(Permission.ADMINISTER)
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    setting = setting_asked(request, pk)
    by, now = access.person_of(request), timezone.now()
    try:
        asked = asking.ask(setting_id=setting.pk, by=by, now=now)
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("exchange", setting.pk)
    return redirect("exchange-run", asked.pk)


@require_safe
@needs(Permission.ADMINISTER)
def run(request: HttpRequest, pk: int) -> HttpResponse:
    one = _asked(request, pk)
    files = Paginator(selectors.files_of(one), _FILES).get_page(request.GET.get("page"))
    return render(request, "plant/exchange/run.html", _around(one) | {"page": files})


@require_safe
@needs(Permission.ADMINISTER)
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of the page that moves; once it has ended the whole page is asked for."""
    one = _asked(request, pk)
    response = render(request, "plant/exchange/_progress.html", _around(one))
    if not one.is_owed:
        response["HX-Refresh"] = "true"
    return response


@require_POST
@needs(Permission.ADMINISTER)
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    one = _asked(request, pk)
    if one.is_owed:
        asking.ask_stop(run_id=one.pk, now=timezone.now())
        messages.success(request, _("It stops; whole files stay, the next run goes on."))
    return redirect("exchange-run", one.pk)


def _asked(request: HttpRequest, pk: int) -> ExchangeRun:
    rows = ExchangeRun.objects.select_related("setting__plant", "asked_by")
    return access.one_visible(rows, request.user, pk=pk)


def _around(one: ExchangeRun) -> dict[str, Any]:
    return {
        "run": one,
        "setting": one.setting,
        "plant": one.setting.plant,
        "failure": exchange_words.failure_of(one),
        "files_written": selectors.files_of(one).count(),
        "is_silent": selectors.is_silent(one, timezone.now()),
    }
