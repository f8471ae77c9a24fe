"""The list of work, and one order."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.roles import Permission
from workorders.forms import OrderFilterForm
from workorders.models import WorkOrder
from workorders.selectors import backlog, part_supply
from workorders.views.order_page import order_page

_ROWS = 25


@require_safe
@needs(Permission.SEE)
def work(request: HttpRequest) -> HttpResponse:
    seen = access.visible(WorkOrder.objects.all(), request.user)
    plants = list(access.plants_of(request.user))
    form = OrderFilterForm(request.GET, plants=plants)
    form.is_valid()
    wanted = form.wanted()
    page = Paginator(backlog.orders_wanted(seen, wanted), _ROWS).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "orders": part_supply.with_supply(page.object_list, timezone.now()),
        "counts": backlog.counts_by_state(seen),
        "wanted": wanted,
        "several_plants": len(plants) > 1,
        "may_raise": access.may(request.user, Permission.RAISE_ORDER),
    }
    return render(request, "workorders/work.html", context)


@require_safe
@needs(Permission.SEE)
def order(request: HttpRequest, number: str) -> HttpResponse:
    row = access.one_visible(WorkOrder.objects.all(), request.user, number=number)
    return order_page(request, row)
