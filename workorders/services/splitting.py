"""Splitting an order: some of its steps, hours and parts become an order of their own."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import (
    OrderChange,
    OrderLink,
    OrderMove,
    OrderPart,
    TimeBooking,
    WorkOrder,
    WorkStep,
)
from workorders.order_origins import SUGGESTIONS, Origin
from workorders.order_states import OrderState
from workorders.order_sums import split_hours
from workorders.part_words import amount_words
from workorders.services import leading_cases, numbering
from workorders.services.locking import OrderChangedMeanwhile, lock_order
from workorders.services.moving import put_in_state
from workorders.services.order_lines import renumber, still_wanted, want_less
from workorders.services.part_stock import check_amount
from workorders.services.waiting import check_open

# The new order says of these what the old one says; its cause stays with the old one.
_COPIED = (
    "conveyor",
    "case",
    "cause",
    "work_method",
    "zone",
    "component",
    "position_m",
    "belt_position_m",
    "side",
    "correction",
    "tools",
    "parts",
    "cautions",
    "needs_isolation",
    "people",
    "proof",
    "urgency",
    "urgency_reasons",
    "urgency_why",
    "due_on",
    "earliest_on",
)


class SplitRefused(DomainError):
    code = "split_refused"


@dataclass(frozen=True)
class Rest:
    """What goes: places of steps, amounts by key of the line of a part; hours None: its steps'.

    `follows`: it begins when what stays is done.
    """

    title: str
    places: frozenset[int] = frozenset()
    hours: Decimal | None = None
    amounts: Mapping[int, Decimal] = field(default_factory=dict)
    follows: bool = False


@transaction.atomic
def split_order(
    *, order_id: int, rest: Rest, by: User | None, now: datetime, version: int | None = None
) -> WorkOrder:
    """Make a new order of the rest, approved where the old one is; both logs tell it.

    The accepted cause stays with the old order; the case is on proof when both are done.
    Refuses with OrderChangedMeanwhile, OrderIsNotOpen, SplitRefused and CountedInWhole.
    """
    order = lock_order(order_id, version=version)
    check_may_be_split(order)
    going = _going(order, rest)
    new = _create(order, rest, going, by=by, now=now)
    _move_steps(order, new, going)
    _move_parts(order, new, rest.amounts)
    _copy_links(order, new, follows=rest.follows, by=by, now=now)
    _tell(order, new, by=by, now=now)
    told = _("%(number)s was split.") % {"number": order.number}
    leading_cases.lead_case(case_id=order.case_id, by=by, now=now, why=told)
    return new


def check_may_be_split(order: WorkOrder) -> None:
    check_open(order)
    if order.state == OrderState.PROPOSED and leading_cases.is_suggestion(order):
        raise SplitRefused(
            _("%(number)s is only suggested. Approve it first, then split it.")
            % {"number": order.number}
        )


def check_split(order: WorkOrder, rest: Rest, *, version: int) -> None:
    """Refuse what split_order would refuse of this choice; writes nothing."""
    if version != order.version:
        raise OrderChangedMeanwhile(order)
    _going(order, rest)
    for line, amount in _amounts(order, rest.amounts):
        _check_can_go(line, amount)


def _going(order: WorkOrder, rest: Rest) -> list[WorkStep]:
    steps = list(order.steps.all())
    going = [step for step in steps if step.place in rest.places]
    if len(going) < len(rest.places):
        raise SplitRefused(_("The steps were changed meanwhile. Choose again."))
    if any(step.done_at for step in going):
        raise SplitRefused(_("A step that is done stays where it was done."))
    if steps and len(going) == len(steps):
        raise SplitRefused(_("No step would be left. Leave at least one here."))
    amounts = [amount for amount in rest.amounts.values() if amount]
    if not going and not amounts and not rest.hours:
        raise SplitRefused(_("Choose what goes: steps, hours or parts."))
    if not rest.title.strip():
        raise SplitRefused(_("Say what the new order is for."))
    return going


def _create(
    order: WorkOrder, rest: Rest, going: list[WorkStep], *, by: User | None, now: datetime
) -> WorkOrder:
    halves = split_hours(order.hours, [step.hours for step in going], rest.hours)
    origin = Origin.HAND.value if Origin(order.origin) in SUGGESTIONS else order.origin
    new = WorkOrder.objects.create(
        number=numbering.next_number(order.conveyor.plant_id),
        title=rest.title.strip(),
        origin=origin,
        hours=halves.go,
        split_from=order,
        raised_at=now,
        raised_by=by,
        **{name: getattr(order, name) for name in _COPIED},
    )
    order.hours = halves.stay
    why = _("Split off from %(number)s.") % {"number": order.number}
    OrderMove.objects.create(order=new, to_state=OrderState.PROPOSED.value, at=now, by=by, why=why)
    if order.state != OrderState.PROPOSED:
        put_in_state(new, OrderState.APPROVED, by=by, now=now, why=why)
    return new


def _move_steps(order: WorkOrder, new: WorkOrder, going: list[WorkStep]) -> None:
    # Time that was booked on them stays with the old order and goes on naming them.
    TimeBooking.objects.filter(step__in=going).update(step=None)
    for place, step in enumerate(going, start=1):
        step.order, step.place = new, place
        step.save(update_fields=["order", "place"])
    renumber(order)


def _move_parts(order: WorkOrder, new: WorkOrder, amounts: Mapping[int, Decimal]) -> None:
    """What is reserved goes with the amount; what was used stays where it was used."""
    for line, amount in _amounts(order, amounts):
        _check_can_go(line, amount)
        OrderPart.objects.create(order=new, part=line.part, amount=amount)
        want_less(line, amount)


def _amounts(order: WorkOrder, amounts: Mapping[int, Decimal]) -> list[tuple[OrderPart, Decimal]]:
    lines = {line.pk: line for line in order.order_parts.select_related("part")}
    if not set(amounts) <= set(lines):
        raise SplitRefused(_("The parts were changed meanwhile. Choose again."))
    return [(lines[key], amount) for key, amount in amounts.items() if amount]


def _check_can_go(line: OrderPart, amount: Decimal) -> None:
    check_amount(line.part, amount, "amount")
    if not 0 < amount <= still_wanted(line):
        raise SplitRefused(
            _("Of %(part)s at most %(free)s can go.")
            % {"part": line.part, "free": amount_words(still_wanted(line), line.part)}
        )


def _copy_links(
    order: WorkOrder, new: WorkOrder, *, follows: bool, by: User | None, now: datetime
) -> None:
    """Both wait for what the whole waited for, and what waited for the whole waits for both.

    Numbering holds the plant's row, and with it every link; copies of an order close no circle.
    """
    before = [link.after_id for link in order.waits_for.all()]
    behind = [link.order_id for link in order.lets_begin.all()]
    pairs = [*((new.pk, one) for one in before), *((one, new.pk) for one in behind)]
    if follows:
        pairs.append((new.pk, order.pk))
    OrderLink.objects.bulk_create(
        OrderLink(order_id=waits, after_id=after, at=now, by=by) for waits, after in pairs
    )


def _tell(order: WorkOrder, new: WorkOrder, *, by: User | None, now: datetime) -> None:
    OrderChange.objects.bulk_create(
        OrderChange(order=one, kind=kind, before=order.number, after=new.number, at=now, by=by)
        for one, kind in ((order, OrderChange.Kind.SPLIT), (new, OrderChange.Kind.SPLIT_OFF))
    )
    order.version += 1
    order.save()
