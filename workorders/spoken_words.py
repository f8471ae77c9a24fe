"""What connected systems can have words for in work orders."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Count
from django.utils.translation import gettext_lazy as _

from plant import wording_shelf
from plant.models import Plant
from plant.wording.shape import Shape
from plant.wording_shelf import Kind, Vocabulary
from workorders.models import WorkOrder
from workorders.order_words import STATE_WORDS, URGENCY_WORDS, WAITING_WORDS

_ORDER = Shape(
    words={
        "state": "order_state",
        "from_state": "order_state",
        "to_state": "order_state",
        "urgency": "urgency",
        "waiting_for": "waiting_for",
        "cause": "cause",
        "zone": "zone",
    },
    marks=frozenset({"number", "plant", "version"}),
)


def register() -> None:
    """Called when the app is ready."""
    for name, place, title, words in (
        ("order_state", 10, _("State of a work order"), STATE_WORDS),
        ("urgency", 15, _("Urgency"), URGENCY_WORDS),
        ("waiting_for", 20, _("What an order waits for"), WAITING_WORDS),
    ):
        _vocabulary(name, place, title, words)
    wording_shelf.register_kind(
        Kind(
            "work_order",
            10,
            _("Work orders"),
            "work_orders",
            _ORDER,
            fields=_fields,
            newest=_newest,
            conveyors_since=_since,
        )
    )


def _vocabulary(name: str, place: int, title: Any, choices: Mapping[Any, Any]) -> None:
    words = wording_shelf.words_of(choices)
    wording_shelf.register_vocabulary(Vocabulary(name, place, title, lambda _plant: words))


def _fields() -> list[str]:
    from workorders.api.serializers import OrderSummary

    return list(OrderSummary().fields)


def _newest(plant: Plant, most: int) -> list[dict[str, Any]]:
    # Serializers are looked up when they are needed: they ask the apps for their models.
    from workorders.api.serializers import OrderSummary

    rows = WorkOrder.objects.filter(conveyor__plant=plant).select_related(
        "conveyor__plant", "case", "window", "crew", "merged_into", "split_from"
    )
    return [dict(OrderSummary(one).data) for one in rows.order_by("-raised_at", "-pk")[:most]]


def _since(plant: Plant, since: datetime) -> Mapping[str, int]:
    rows = WorkOrder.objects.filter(conveyor__plant=plant, raised_at__gte=since)
    return dict(rows.order_by().values_list("conveyor__tag").annotate(Count("pk")))
