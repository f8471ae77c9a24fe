"""What a proof run showed, on the pages of its order and its case."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from diagnostics.models import Case
from plant import access, navigation
from plant.navigation import Panel
from workorders.models import ProofWatch, WorkOrder
from workorders.selectors import fix_lives, proof_page

_TEMPLATE = "workorders/parts/proof.html"


def register() -> None:
    navigation.register_panel("order", Panel(60, _TEMPLATE, on_order))
    navigation.register_panel("case", Panel(31, _TEMPLATE, on_case))


def on_order(_request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    watch = proof_page.last_watch(order)
    life = fix_lives.life_of(order, timezone.now())
    if watch is None and life is None:
        return None
    return {**_shown(order, watch), "life": life}


def on_case(request: HttpRequest, case: Case) -> dict[str, Any] | None:
    """The case's last proof run in which somebody looked at stations."""
    orders = access.visible(WorkOrder.objects.filter(case=case), request.user)
    watch = (
        ProofWatch.objects.filter(order__in=orders, proof_run__isnull=False)
        .select_related("order__conveyor__plant", "order__case")
        .order_by("pk")
        .last()
    )
    if watch is None:
        return None
    life = fix_lives.life_of(watch.order, timezone.now())
    return {**_shown(watch.order, watch), "life": life}


def _shown(order: WorkOrder, watch: ProofWatch | None) -> dict[str, Any]:
    return {
        "proved_order": order,
        "plant": order.conveyor.plant,
        "proof_watch": watch,
        "shown": proof_page.before_and_after(order, watch) if watch else None,
    }
