"""What an order waits for: saying so, and saying that it need not."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.chain_forms import LinkForm
from workorders.forms import VersionForm
from workorders.models import WorkOrder
from workorders.selectors import order_chain
from workorders.services import linking
from workorders.views.order_asked import order_asked
from workorders.views.order_page import order_page


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_link(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    if request.method != "POST":
        return _page(request, order, _form(request, order, {"version": order.version}))
    form = _form(request, order)
    if not form.is_valid():
        return _page(request, order, form, status=400)
    try:
        linking.link_orders(
            order_id=order.pk,
            after_id=form.cleaned_data["after"].pk,
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        order.refresh_from_db(fields=["state", "version"])
        # Pressing again now means: having seen how it stands.
        form = _form(request, order, {**request.POST.dict(), "version": order.version})
        return _page(request, order, form, refusal=str(refusal), status=409)
    messages.success(request, _("Kept."))
    return redirect("order", order.number)


@require_POST
@needs(Permission.PLAN_ORDER)
def order_unlink(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    form = VersionForm(request.POST)
    after = access.visible(WorkOrder.objects.all(), request.user)
    earlier = after.filter(number=request.POST.get("after", "").replace("\x00", "")).first()
    if earlier is None:
        raise Http404
    try:
        linking.unlink_orders(
            order_id=order.pk,
            after_id=earlier.pk,
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"] if form.is_valid() else -1,
        )
    except DomainError as refusal:
        return order_page(request, order, refusal=str(refusal), status=409)
    said = _("%(number)s need not wait for %(after)s.")
    messages.success(request, said % {"number": order.number, "after": earlier.number})
    return redirect("order", order.number)


def _form(
    request: HttpRequest, order: WorkOrder, initial: dict[str, object] | None = None
) -> LinkForm:
    """Shown with what is `initial`, else filled with what was sent."""
    seen = access.visible(WorkOrder.objects.all(), request.user)
    linkable = order_chain.linkable(order, seen)
    data = request.POST if initial is None else None
    return LinkForm(data, initial=initial, order=order, linkable=linkable)


def _page(
    request: HttpRequest, order: WorkOrder, form: LinkForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    context = {"order": order, "form": form, "refusal": refusal}
    return render(request, "workorders/chain/link.html", context, status=status)
