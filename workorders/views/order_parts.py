"""Parts on an order: put on it, another amount, booked, put back."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.roles import Permission
from plant.views.keeping import FormPage, answer_form, posted, version_of, who
from workorders.models import OrderPart, WorkOrder
from workorders.part_forms import AmountForm, OrderPartForm
from workorders.part_words import amount_words, plain
from workorders.selectors import part_choice
from workorders.services import order_parts
from workorders.views.parts import today_at

_ASKED = 80


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def order_part_new(request: HttpRequest, number: str) -> HttpResponse:
    """A part is put on an open order; once the work is done, it is booked there at once."""
    order = _order_or_404(request, number)
    asked = request.GET.get("find", "")[:_ASKED].replace("\x00", "")
    found = part_choice.parts_to_choose(order, asked, today_at(order.conveyor.plant))
    form = OrderPartForm(posted(request), choices=[(one.part.pk, one) for one in found])
    page = _page(
        order,
        _("A part for %(number)s") % {"number": order.number},
        _("Put it on the order") if order.is_open else _("Book it"),
        template="workorders/catalogue/for_order.html",
        more={"asked": asked, "found": found, "order": order},
    )

    def save() -> str:
        is_fitted = not order.is_open or "book" in request.POST
        put = order_parts.use_unplanned if is_fitted else order_parts.want_part
        put(
            order_id=order.pk,
            part_id=form.cleaned_data["part"],
            amount=form.cleaned_data["amount"],
            by=who(request),
            now=timezone.now(),
        )
        messages.success(request, _("It is on the order."))
        return page.back

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def order_part_amount(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    line = _line_or_404(request, number, pk)
    page = _page(
        line.order,
        _("How many of %(part)s?") % {"part": line.part},
        _("That many"),
        row=line,
        more={"says": _("0 takes it off the order.")},
    )
    label = gettext_lazy("the order wants")
    return _change(request, line, page, label, order_parts.want_amount, line.amount)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def order_part_use(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    line = _line_or_404(request, number, pk)
    says = _("On hand: %(here)s. Booked on this order so far: %(used)s.") % {
        "here": amount_words(line.part.on_hand, line.part),
        "used": amount_words(line.used, line.part),
    }
    heading = _("Book %(part)s") % {"part": line.part}
    page = _page(line.order, heading, _("Book it"), row=line, more={"says": says})
    still = max(line.amount - line.used, 0)
    label = gettext_lazy("so many were fitted")
    return _change(request, line, page, label, order_parts.use_part, still)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def order_part_put_back(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    line = _line_or_404(request, number, pk)
    says = _("Booked on this order: %(used)s.") % {"used": amount_words(line.used, line.part)}
    heading = _("Put %(part)s back") % {"part": line.part}
    page = _page(line.order, heading, _("Put back"), row=line, more={"says": says})
    label = gettext_lazy("so many lie in the store again")
    return _change(request, line, page, label, order_parts.put_back, line.used)


def _change(
    request: HttpRequest,
    line: OrderPart,
    page: FormPage,
    label: str | Promise,
    change: Callable[..., Any],
    likely: Any,
) -> HttpResponse:
    form = AmountForm(
        posted(request),
        initial={"amount": plain(likely) if likely else None},
        part=line.part,
        label=label,
        can_be_nothing=change is order_parts.want_amount,
    )

    def save() -> str:
        change(
            line_id=line.pk,
            amount=form.cleaned_data["amount"],
            version=version_of(request),
            by=who(request),
            now=timezone.now(),
        )
        messages.success(request, _("Kept."))
        return page.back

    return answer_form(request, form, page, save)


def _page(order: WorkOrder, heading: str, button: str, **more: Any) -> FormPage:
    back = f"{reverse('order', args=[order.number])}#order-parts"
    trail = f"{order.number} {order.title}"
    told = {"trail": trail, "sheet": order.number, **more.pop("more", {})}
    return FormPage(heading, button, back, more=told, **more)


def _order_or_404(request: HttpRequest, number: str) -> WorkOrder:
    rows = WorkOrder.objects.select_related("conveyor__plant")
    return access.one_visible(rows, request.user, number=number)


def _line_or_404(request: HttpRequest, number: str, pk: int) -> OrderPart:
    order = _order_or_404(request, number)
    line = order.order_parts.select_related("part").filter(pk=pk).first()
    if line is None:
        raise Http404
    line.order = order
    return line
