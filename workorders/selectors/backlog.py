"""Lists of work orders as the pages show them."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Case, Count, IntegerField, Q, QuerySet, Value, When
from django.utils.translation import gettext_lazy

from plant.selectors.today import past_days
from workorders.models import WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.order_words import STATE_WORDS, Words
from workorders.selectors.proofs import TO_BE_PROVED, to_be_proved, with_last_proof
from workorders.urgency import Urgency

# Not a state: everything that somebody still has to do something about.
OPEN = "open"
ALL = "all"
# Done, but nobody has watched the belt yet.
TO_PROVE = "to_prove"

_BY_URGENCY = Case(
    *(When(urgency=urgency.value, then=Value(rank)) for rank, urgency in enumerate(Urgency)),
    output_field=IntegerField(),
)


@dataclass(frozen=True)
class Wanted:
    """Filters of the list; empty ones let everything through. `tag` in capitals or not."""

    state: str = OPEN
    urgency: str = ""
    plant: str = ""
    tag: str = ""
    waiting: str = ""


@dataclass(frozen=True)
class StateCount:
    state: str
    words: Words
    how_many: int


def orders_wanted(orders: QuerySet[WorkOrder], wanted: Wanted) -> QuerySet[WorkOrder]:
    """The most urgent first, then the newest; each with its conveyor and plant."""
    filters = Q()
    if wanted.state == OPEN:
        filters &= Q(state__in=sorted(OPEN_STATES)) | TO_BE_PROVED
    elif wanted.state == TO_PROVE:
        filters &= TO_BE_PROVED
    elif wanted.state != ALL:
        filters &= Q(state=wanted.state)
    if wanted.urgency:
        filters &= Q(urgency=wanted.urgency)
    if wanted.plant:
        filters &= Q(conveyor__plant__code=wanted.plant)
    if wanted.tag:
        filters &= Q(conveyor__tag__iexact=wanted.tag)
    if wanted.waiting:
        filters &= ~Q(waiting_for="")
    return by_urgency(with_last_proof(orders).filter(filters))


def by_urgency(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    return orders.select_related("conveyor__plant", "case").order_by(
        _BY_URGENCY, "-raised_at", "-pk"
    )


def counts_by_state(orders: QuerySet[WorkOrder]) -> list[StateCount]:
    """How many orders stand in each state that still asks for something; none are left out."""
    found = dict(
        orders.filter(state__in=sorted(OPEN_STATES))
        .order_by()
        .values_list("state")
        .annotate(how_many=Count("pk"))
    )
    counts = [
        StateCount(state.value, STATE_WORDS[state], found.get(state.value, 0))
        for state in OrderState
        if state in OPEN_STATES
    ]
    how_many = to_be_proved(orders).count()
    return [*counts, StateCount(TO_PROVE, gettext_lazy("done, to be proved"), how_many)]


def overdue(orders: QuerySet[WorkOrder], now: datetime) -> QuerySet[WorkOrder]:
    """Open although their due day is over at their plant."""
    is_past = past_days("due_on", "conveyor__plant", now)
    return orders.filter(is_past, state__in=sorted(OPEN_STATES))


def waiting(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    return orders.filter(state__in=sorted(OPEN_STATES)).exclude(waiting_for="")


def still_to_do(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    return orders_wanted(orders, Wanted())
