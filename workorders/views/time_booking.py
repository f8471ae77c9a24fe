"""Time on an order: the list with a form for more, corrections, taking back."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from plant.services.register_refusals import FieldRefusal
from plant.views.keeping import FormPage, answer_form, answer_question, posted, version_of
from workorders import time_access
from workorders.models import TimeBooking, WorkOrder
from workorders.selectors import booked_time
from workorders.services import booking_time
from workorders.time_forms import BookForm, CorrectForm
from workorders.views.order_asked import order_asked, require_plan_or_do

_ROWS = 25
_FORM = "workorders/time/correct.html"


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_time(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    form = _book_form(request, order)
    if request.method != "POST":
        return _page(request, order, form)
    require_plan_or_do(request)
    if not form.is_valid():
        return _page(request, order, form, status=400)
    try:
        rows = booking_time.book_time(
            order_id=order.pk,
            workers=form.who(),
            spent=form.spent(),
            sent_as=form.sent(),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except FieldRefusal as refusal:
        form.add_error(refusal.field, str(refusal))
        return _page(request, order, form, status=409)
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _page(request, order, form, status=409)
    said = ngettext("%(count)d booking is kept.", "%(count)d bookings are kept.", len(rows))
    messages.success(request, said % {"count": len(rows)})
    return redirect("order-time", order.number)


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_time_correct(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, row = _asked(request, number, pk)
    form = CorrectForm(
        posted(request),
        order=order,
        crew=row.crew,
        people=booked_time.hands_of(order, also=row.worker),
        initial=_initial(order, row),
    )
    heading = _("Correct booked time of %(who)s") % {"who": row.worker_name}
    page = FormPage(heading, _("Keep"), _list(order), None, row, _FORM, {"order": order})

    def save() -> str:
        booking_time.correct_time(
            booking_id=row.pk,
            order_id=order.pk,
            worker=form.who(),
            spent=form.spent(),
            version=version_of(request),
            by=access.person_of(request),
            now=timezone.now(),
        )
        messages.success(request, _("Kept."))
        return _list(order)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_time_take_back(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, row = _asked(request, number, pk)
    heading, button = _("Take booked time back?"), _("Take it back")
    more = {"says": _("It counts no more, stays to be read and can be put back.")}
    page = FormPage(heading, button, _list(order), order.conveyor, row, more=more)
    facts = [(_("Booked"), str(row)), (_("Order"), str(order))]

    def act() -> str:
        _count(request, order, row, counts=False)
        messages.success(request, _("Taken back."))
        return _list(order)

    return answer_question(request, page, act, facts)


@require_POST
@needs(Permission.SEE)
def order_time_put_back(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, row = _asked(request, number, pk)
    try:
        _count(request, order, row, counts=True)
        messages.success(request, _("It counts again."))
    except DomainError as refusal:
        messages.error(request, str(refusal))
    return redirect("order-time", order.number)


def _count(request: HttpRequest, order: WorkOrder, row: TimeBooking, *, counts: bool) -> None:
    booking_time.let_count(
        booking_id=row.pk,
        order_id=order.pk,
        counts=counts,
        by=access.person_of(request),
        now=timezone.now(),
    )


def _asked(request: HttpRequest, number: str, pk: int) -> tuple[WorkOrder, TimeBooking]:
    order = order_asked(request, number)
    rows = TimeBooking.objects.select_related("worker", "crew")
    row = access.one_visible(rows, request.user, order=order, pk=pk)
    if not time_access.may_correct(request.user, row):
        raise PermissionDenied
    return order, row


def _book_form(request: HttpRequest, order: WorkOrder) -> BookForm:
    today = order.conveyor.plant.day_of(timezone.now())
    # Who plans books for others.
    plans = access.may(request.user, Permission.PLAN_ORDER)
    own = [] if plans else [request.user.pk]
    initial = {"day": today, "workers": own, "crew": order.crew_id}
    people = booked_time.hands_of(order)
    return BookForm(posted(request), order=order, people=people, initial=initial)


def _initial(order: WorkOrder, row: TimeBooking) -> dict[str, Any]:
    zone = order.conveyor.plant.zone_info
    names = ("day", "note", "worker", "crew", "step")
    kept = {name: getattr(row, name) for name in names}
    if row.worker is None:
        kept["worker_name"] = row.worker_name
    if row.begins_at is None or row.ends_at is None:
        return kept | {"hours": row.hours}
    times = (row.begins_at, row.ends_at)
    begins, ends = (f"{one.astimezone(zone):%H:%M}" for one in times)
    return kept | {"begins": begins, "ends": ends}


def _page(
    request: HttpRequest, order: WorkOrder, form: BookForm, *, status: int = 200
) -> HttpResponse:
    page = Paginator(booked_time.bookings_of(order), _ROWS).get_page(request.GET.get("page"))
    context = {
        "order": order,
        "plant": order.conveyor.plant,
        "page": page,
        "booked": booked_time.booked_of(order),
        "form": form if time_access.may_book(request.user, order) else None,
    }
    return render(request, "workorders/time/list.html", context, status=status)


def _list(order: WorkOrder) -> str:
    return reverse("order-time", args=[order.number])
