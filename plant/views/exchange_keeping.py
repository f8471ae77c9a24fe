"""Setting up files for a system; changing that, beginning anew, ending it."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.exchange_forms import ExchangeForm, NewExchangeForm
from plant.models import ConnectedSystem, ExchangeSetting
from plant.roles import Permission
from plant.selectors import exchange_pages as selectors
from plant.services.exchange import folders, keeping
from plant.services.register_refusals import FieldRefusal
from plant.views.exchange import setting_asked

_METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(_METHODS)
@needs(Permission.ADMINISTER)
def new(request: HttpRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    systems = access.visible(ConnectedSystem.objects.all(), request.user)
    form = NewExchangeForm(
        posted,
        initial=NewExchangeForm.usual(),
        plants=access.plants_of(request.user),
        systems=systems,
    )
    if posted is None or not form.is_valid():
        return _ask_new(request, form, status=200 if posted is None else 400)
    try:
        made = keeping.set_up(
            plant=form.cleaned_data["plant"],
            wanted=form.wanted(),
            begins_with_all=form.cleaned_data["begins_with_all"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except FieldRefusal as refusal:
        form.add_error(refusal.field, str(refusal))
        return _ask_new(request, form, status=409)
    messages.success(request, _("Set up. The first files are written when they are due."))
    return redirect("exchange", made.pk)


def _ask_new(request: HttpRequest, form: NewExchangeForm, *, status: int) -> HttpResponse:
    context = {"form": form, "is_on": folders.is_on()}
    return render(request, "plant/exchange/new.html", context, status=status)


@require_http_methods(_METHODS)
@needs(Permission.ADMINISTER)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    setting = setting_asked(request, pk)
    initial = ExchangeForm.filled_with(setting)
    systems = ConnectedSystem.objects.filter(plant=setting.plant)
    if request.method != "POST":
        return _ask(request, setting, ExchangeForm(initial=initial, systems=systems))
    form = ExchangeForm(request.POST, systems=systems)
    if not form.is_valid():
        return _ask(request, setting, form, status=400)
    try:
        keeping.change(
            setting_id=setting.pk,
            wanted=form.wanted(),
            version=form.cleaned_data["seen"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        # Pressing again now means: having seen how it stands.
        again = request.POST.copy()
        again["seen"] = str(initial["seen"])
        form = ExchangeForm(again, systems=systems)
        form.add_error(getattr(refusal, "field", None), str(refusal))
        return _ask(request, setting, form, status=409)
    messages.success(request, _("Kept."))
    return redirect("exchange", setting.pk)


def _ask(
    request: HttpRequest, setting: ExchangeSetting, form: ExchangeForm, *, status: int = 200
) -> HttpResponse:
    context = {"setting": setting, "plant": setting.plant, "form": form}
    return render(request, "plant/exchange/change.html", context, status=status)


@require_http_methods(_METHODS)
@needs(Permission.ADMINISTER)
def anew(request: HttpRequest, pk: int, feed: str) -> HttpResponse:
    setting = setting_asked(request, pk)
    standing = next((one for one in selectors.feeds_of(setting) if one.feed.value == feed), None)
    if standing is None:
        raise Http404
    if request.method != "POST":
        context = {"setting": setting, "plant": setting.plant, "standing": standing}
        return render(request, "plant/exchange/anew.html", context)
    by, now = access.person_of(request), timezone.now()
    keeping.start_anew(setting_id=setting.pk, feed=feed, by=by, now=now)
    messages.success(request, _("The next run writes all that stands and goes on from there."))
    return redirect("exchange", setting.pk)


@require_http_methods(_METHODS)
@needs(Permission.ADMINISTER)
def end(request: HttpRequest, pk: int) -> HttpResponse:
    setting = setting_asked(request, pk)
    if request.method != "POST":
        context = {"setting": setting, "plant": setting.plant, "path": folders.path_of(setting)}
        return render(request, "plant/exchange/end.html", context)
    keeping.end(setting_id=setting.pk, by=access.person_of(request))
    messages.success(request, _("%(name)s gets no more files.") % {"name": setting.name})
    return redirect("exchange-list")
