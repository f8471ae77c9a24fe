"""The due list: what is to be renewed by month, its files, and the orders it becomes."""

import uuid
from datetime import date
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access, exports
from plant.access import needs
from plant.errors import DomainError
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors.today import latest_day
from plant.views.keeping import who
from workorders import due_tables
from workorders.due_forms import DueFilter, RaiseDueForm, keys_chosen
from workorders.models import DueItem, WorkOrder
from workorders.selectors import due_list
from workorders.services import due_raising, due_reckoning

_ROWS = 40
# So many conveyors are reckoned while somebody waits for the page.
_AT_ONCE = 25


@require_safe
@needs(Permission.SEE)
def due(request: HttpRequest) -> HttpResponse:
    today, seen = _today(request), _seen(request)
    form = _filter(request, today)
    wanted = form.wanted()
    items = due_list.items_wanted(seen, wanted, today)
    page = Paginator(items, _ROWS).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "wanted": wanted,
        "months": due_list.month_counts(seen, wanted, today),
        "page": page,
        "rows": due_list.rows_of(list(page.object_list), today, timezone.now()),
        "owed": _owed(request).count(),
        "most": due_raising.MOST_ITEMS,
        "several_plants": access.plants_of(request.user).count() > 1,
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/lives/due.html", context)


@require_safe
@needs(Permission.SEE)
def due_file(request: HttpRequest, kind: str) -> HttpResponse:
    today = _today(request)
    items = due_list.items_wanted(_seen(request), _filter(request, today).wanted(), today)
    rows = due_tables.table_of(due_list.all_rows(items, today, timezone.now()))
    name = f"due-list-{today:%Y-%m-%d}"
    if kind == "csv":
        return exports.csv_response(name, due_tables.header(), rows)
    return exports.xlsx_response(name, _("Due list"), due_tables.header(), rows)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def due_raise(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        return _raise(request)
    return _preview(request, _chosen(request), RaiseDueForm(), 200)


@require_safe
@needs(Permission.PLAN_ORDER)
def due_raised(request: HttpRequest, together: uuid.UUID) -> HttpResponse:
    orders = _orders_of(request, together)
    return render(
        request, "workorders/lives/due_raised.html", {"orders": orders, "together": together}
    )


@require_POST
@needs(Permission.PLAN_ORDER)
def due_take_back(request: HttpRequest, together: uuid.UUID) -> HttpResponse:
    _orders_of(request, together)
    done, left = due_raising.take_back(together=together, by=who(request), now=timezone.now())
    said = ngettext("%(count)d order is declined.", "%(count)d orders are declined.", done)
    messages.success(request, said % {"count": done})
    if left:
        messages.warning(request, _("%(count)d had gone on and stay.") % {"count": left})
    return redirect("due")


@require_POST
@needs(Permission.PLAN_ORDER)
def due_reckon(request: HttpRequest) -> HttpResponse:
    owed = list(_owed(request)[:_AT_ONCE])
    due_reckoning.reckon(owed, timezone.now())
    messages.success(request, _("Worked out anew."))
    return redirect("due")


def _raise(request: HttpRequest) -> HttpResponse:
    chosen = _chosen(request)
    form = RaiseDueForm(request.POST)
    if not form.is_valid():
        return _preview(request, chosen, form, 400)
    try:
        raised = due_raising.raise_due(
            item_ids=[one.pk for one in chosen],
            by_month=form.by_month,
            by=who(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _preview(request, chosen, form, 409)
    for item, order in raised.standing:
        said = _("%(where)s has %(number)s already.")
        messages.warning(request, said % {"where": item.where, "number": order.number})
    return redirect("due-raised", raised.together)


def _preview(
    request: HttpRequest, items: list[DueItem], form: RaiseDueForm, status: int
) -> HttpResponse:
    today = _today(request)
    rows = due_list.rows_of(items, today, timezone.now())
    free = [one.item for one in rows if one.order is None]
    context: dict[str, Any] = {
        "form": form,
        "rows": rows,
        "free": free,
        "by_month": len(due_raising.bundles_of(free, by_month=True)),
        "each": len(free),
        "back": reverse("due"),
    }
    return render(request, "workorders/lives/due_raise.html", context, status=status)


def _chosen(request: HttpRequest) -> list[DueItem]:
    """The rows that were ticked, or all that the filters leave."""
    today, seen = _today(request), _seen(request)
    said = request.POST if request.method == "POST" else request.GET
    if request.method == "GET" and "all" in said:
        items = due_list.items_wanted(seen, _filter(request, today).wanted(), today)
    else:
        pks = keys_chosen(said.getlist("item"))[: due_raising.MOST_ITEMS + 1]
        items = due_list.items_wanted(seen.filter(pk__in=pks), due_list.DueWanted(), today)
    return list(items[: due_raising.MOST_ITEMS + 1])


def _filter(request: HttpRequest, today: date) -> DueFilter:
    plants, months = access.plants_of(request.user), due_list.months_ahead(today)
    return DueFilter(request.GET, plants=plants, months=months)


def _seen(request: HttpRequest) -> QuerySet[DueItem]:
    return access.visible(DueItem.objects.all(), request.user)


def _owed(request: HttpRequest) -> QuerySet[Conveyor]:
    rows = access.visible(Conveyor.objects.all(), request.user)
    return due_reckoning.owed_conveyors(rows, timezone.now())


def _orders_of(request: HttpRequest, together: uuid.UUID) -> list[WorkOrder]:
    """What one press raised, none of it another plant's."""
    rows = access.visible(WorkOrder.objects.all(), request.user)
    found = rows.filter(due_orders__together=together).select_related("conveyor__plant")
    orders = list(found.distinct().order_by("number"))
    if not orders:
        raise Http404
    return orders


def _today(request: HttpRequest) -> date:
    """The day at the person's plant; months of several begin where the day does."""
    return latest_day(access.plants_of(request.user), timezone.now())
