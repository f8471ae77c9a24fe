"""The orders of a plant that want attention, with since when."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.db.models import Max, OuterRef, Q, QuerySet, Subquery

from plant.models import Plant
from workorders.attention import Attention, AttentionKind, Standing, attention_wanted
from workorders.models import OrderChange, OrderMove, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState, Waiting
from workorders.selectors.backlog import by_urgency
from workorders.selectors.proofs import TO_BE_PROVED, with_last_proof

_OPEN = Q(state__in=sorted(OPEN_STATES))


@dataclass(frozen=True)
class Wanting:
    order: WorkOrder
    attention: Attention


def wanting_attention(plant: Plant, now: datetime) -> dict[AttentionKind, list[Wanting]]:
    """All of it by kind, most urgent first; one query however many orders there are."""
    today = plant.day_of(now)
    found = [
        Wanting(order, attention)
        for order in _candidates(plant, today, now)
        for attention in attention_wanted(_standing(order), today, now)
    ]
    kinds = list(AttentionKind)
    # Sorting keeps the order of urgency within a kind.
    ranked = sorted(found, key=lambda one: kinds.index(one.attention.kind))
    by_kind = groupby(ranked, key=lambda one: one.attention.kind)
    return {kind: list(rows) for kind, rows in by_kind}


def flat(by_kind: dict[AttentionKind, list[Wanting]], kinds: Iterable[str]) -> list[Wanting]:
    return [one for kind, rows in by_kind.items() if kind in set(kinds) for one in rows]


def _candidates(plant: Plant, today: date, now: datetime) -> QuerySet[WorkOrder]:
    changes = OrderChange.objects.filter(order=OuterRef("pk"), kind=OrderChange.Kind.WAITING)
    moves = OrderMove.objects.filter(order=OuterRef("pk"), to_state=OrderState.DONE.value)
    last_wait = changes.order_by().values("order").annotate(last=Max("at")).values("last")
    last_done = moves.order_by().values("order").annotate(last=Max("at")).values("last")
    wanted = (
        _OPEN & Q(due_on__lt=today)
        | _OPEN & Q(waiting_for=Waiting.PARTS.value)
        | Q(state=OrderState.SCHEDULED.value, planned_for__lt=now)
        | TO_BE_PROVED
    )
    rows = with_last_proof(WorkOrder.objects.filter(conveyor__plant=plant)).filter(wanted)
    return by_urgency(rows).annotate(waits_since=Subquery(last_wait), done_at=Subquery(last_done))


def _standing(order: WorkOrder) -> Standing:
    state = OrderState(order.state)
    return Standing(
        is_open=state in OPEN_STATES,
        is_scheduled=state is OrderState.SCHEDULED,
        waits_for_parts=order.waiting_for == Waiting.PARTS.value,
        # Done orders are among the candidates only while their proof run is owed.
        is_to_be_proved=state is OrderState.DONE,
        due_on=order.due_on,
        planned_for=order.planned_for,
        waits_since=getattr(order, "waits_since", None),
        done_at=getattr(order, "done_at", None),
    )
