"""Splitting an order: choose what goes, see what becomes of it, then do it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders import order_previews
from workorders.chain_forms import SplitForm
from workorders.models import WorkOrder
from workorders.services import splitting
from workorders.views.order_asked import order_asked


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_split(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    try:
        splitting.check_may_be_split(order)
    except DomainError as refusal:
        return _choose(request, order, None, refusal=str(refusal), status=409)
    if request.method != "POST":
        initial = {"version": order.version, "title": order.title}
        return _choose(request, order, SplitForm(initial=initial, order=order))
    form = SplitForm(request.POST, order=order)
    if not form.is_valid():
        return _choose(request, order, form, status=400)
    if "do" in request.POST:
        return _split(request, order, form)
    if "again" in request.POST:
        return _choose(request, order, form)
    return _look(request, order, form)


def _split(request: HttpRequest, order: WorkOrder, form: SplitForm) -> HttpResponse:
    try:
        new = splitting.split_order(
            order_id=order.pk,
            rest=form.rest(),
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        return _refused(request, order, refusal)
    said = _("%(new)s was split off from %(number)s.")
    messages.success(request, said % {"new": new.number, "number": order.number})
    return redirect("order", new.number)


def _look(request: HttpRequest, order: WorkOrder, form: SplitForm) -> HttpResponse:
    rest = form.rest()
    try:
        splitting.check_split(order, rest, version=form.cleaned_data["version"])
    except DomainError as refusal:
        return _refused(request, order, refusal)
    stays, goes = order_previews.split_shown(order, rest)
    context = {"order": order, "form": form, "stays": stays, "goes": goes, "rest": rest}
    return render(request, "workorders/chain/split_look.html", context)


def _refused(request: HttpRequest, order: WorkOrder, refusal: DomainError) -> HttpResponse:
    order.refresh_from_db(fields=["state", "version"])
    # Pressing again now means: having seen how it stands.
    again = SplitForm({**_lists(request), "version": order.version}, order=order)
    return _choose(request, order, again, refusal=str(refusal), status=409)


def _lists(request: HttpRequest) -> dict[str, object]:
    """What was sent, several steps as several."""
    sent: dict[str, object] = dict(request.POST.items())
    return sent | {"places": request.POST.getlist("places")}


def _choose(
    request: HttpRequest,
    order: WorkOrder,
    form: SplitForm | None,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {"order": order, "form": form, "refusal": refusal}
    return render(request, "workorders/chain/split.html", context, status=status)
