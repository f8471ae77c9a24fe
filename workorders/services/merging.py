"""Merging open orders of one conveyor into one of them.

The order that goes on takes over what the others ask for; the others are cancelled and keep what
they said, so that they can come back (see coming_apart.py).
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders import order_chains
from workorders.models import OrderChange, OrderLink, WorkOrder, WorkStep
from workorders.order_states import OrderState
from workorders.order_sums import Content, united
from workorders.services import leading_cases, linking
from workorders.services.locking import lock_orders
from workorders.services.moving import put_in_state
from workorders.services.order_lines import still_wanted, want_more
from workorders.services.placing import clear_place
from workorders.services.waiting import check_open
from workorders.urgency import Urgency

MOST_AT_ONCE = 20
MOST_STEPS = 300
# What the hours of an order have room for. [h]
MOST_HOURS = 9999
_WHY_LENGTH = 400


class MergeRefused(DomainError):
    code = "merge_refused"


def order_that_goes_on(orders: Sequence[WorkOrder]) -> WorkOrder:
    """The one that stands for a cause or a case, which never change; else the first."""

    def stands_for(order: WorkOrder) -> int:
        if order.hypothesis_id is not None or order.finding_id is not None:
            return 2
        return int(order.case_id is not None)

    return max(orders, key=stands_for)


def check_may_be_one(into: WorkOrder, others: Sequence[WorkOrder]) -> None:
    """Refuse with MergeRefused or OrderIsNotOpen what cannot be one order; writes nothing."""
    if not others:
        raise MergeRefused(_("Choose at least one other order."))
    if len(others) > MOST_AT_ONCE:
        raise MergeRefused(_("Merge at most %(most)d at once.") % {"most": MOST_AT_ONCE})
    for order in (into, *others):
        check_open(order)
        if order.conveyor_id != into.conveyor_id:
            raise MergeRefused(_("Only orders of the same conveyor become one."))
    begun = [order.number for order in others if order.state == OrderState.IN_HAND]
    if begun:
        raise MergeRefused(
            _("%(numbers)s is in hand: what people work by does not go. Finish it, or put it back "
              "first.")
            % {"numbers": ", ".join(begun)}
        )  # fmt: skip
    _check_causes([into, *others])
    if sum(order.hours or 0 for order in (into, *others)) > MOST_HOURS:
        raise MergeRefused(_("Together they take more than %(most)d hours.") % {"most": MOST_HOURS})
    if sum(order.steps.count() for order in (into, *others)) > MOST_STEPS:
        raise MergeRefused(_("Together they have more than %(most)d steps.") % {"most": MOST_STEPS})


def _check_causes(orders: Sequence[WorkOrder]) -> None:
    own = [one for one in orders if one.hypothesis_id is not None or one.finding_id is not None]
    if len(own) > 1:
        raise MergeRefused(
            _("%(numbers)s each stand for a cause or a finding of their own. Each keeps its order, "
              "so that its proof run tells which of them it was. Let one wait for the other, or "
              "place them side by side.")
            % {"numbers": ", ".join(one.number for one in own)}
        )  # fmt: skip
    if len({one.case_id for one in orders if one.case_id is not None}) > 1:
        raise MergeRefused(_("They belong to different cases. Each case follows work of its own."))


def content_of(order: WorkOrder) -> Content:
    return Content(
        tools=tuple(order.tools),
        parts=tuple(order.parts),
        cautions=tuple(order.cautions),
        needs_isolation=order.needs_isolation,
        hours=order.hours,
        people=order.people,
        proof=order.proof,
        urgency=Urgency(order.urgency),
        urgency_reasons=tuple(order.urgency_reasons),
        urgency_why=order.urgency_why,
        due_on=order.due_on,
        earliest_on=order.earliest_on,
    )


def steps_taken_over(into: WorkOrder, other: WorkOrder) -> list[WorkStep]:
    """Not saved: what `into` asks for besides, each saying where when that is elsewhere."""
    place = other.component if other.component != into.component else ""
    steps = [_copied(into, other, step, place) for step in other.steps.all()]
    said = _correction_words(other.correction)
    if said and other.correction != into.correction:
        steps.insert(0, WorkStep(order=into, what=said, came_from=other))
    return steps


def _copied(into: WorkOrder, other: WorkOrder, step: WorkStep, place: str) -> WorkStep:
    return WorkStep(
        order=into,
        what=f"{place}: {step.what}" if place else step.what,
        hours=step.hours,
        skill=step.skill,
        done_at=step.done_at,
        done_by_id=step.done_by_id,
        came_from=other,
    )


def _correction_words(correction: Mapping[str, object] | None) -> str:
    if not correction:
        return ""
    names = ("what", "where", "direction")
    told = [str(correction[name]) for name in names if correction.get(name)]
    if correction.get("move_mm") is not None:
        told.insert(min(2, len(told)), f"{correction['move_mm']:g} mm")
    return _("Shift: %(what)s") % {"what": ", ".join(told)} if told else ""


@transaction.atomic
def merge_orders(
    *,
    into_id: int,
    other_ids: Iterable[int],
    seen: Mapping[int, int],
    by: User | None,
    now: datetime,
) -> WorkOrder:
    """Let one order ask for the work of all; the others are cancelled, `merged_into` it.

    `seen` are the versions the person was looking at. Refuses with OrderChangedMeanwhile,
    OrderIsNotOpen, MergeRefused and WouldWaitForItself.
    """
    every = {into_id, *other_ids}
    orders = lock_orders(every, versions={key: seen.get(key, 0) for key in every})
    into = orders.pop(into_id)
    others = list(orders.values())
    check_may_be_one(into, others)
    linking.lock_links(into.conveyor.plant_id)
    _take_over_links(into, others, by=by, now=now)
    _take_over_content(into, others, by=by, now=now)
    for other in others:
        _take_over_steps(into, other)
        _take_over_parts(into, other)
        _end(other, into, by=by, now=now)
    into.version += 1
    into.save()
    told = _("Orders were merged into %(number)s.") % {"number": into.number}
    leading_cases.lead_case(case_id=into.case_id, by=by, now=now, why=told)
    return into


def check_no_circle(into: WorkOrder, others: Sequence[WorkOrder]) -> None:
    waits = linking.waits_of(into.conveyor.plant_id)
    as_one = order_chains.as_one(waits, {one.pk for one in others}, into.pk)
    way = order_chains.circle_through(as_one, into.pk)
    if way:
        raise linking.WouldWaitForItself(
            _("%(way)s waits for one of them and another waits for it; as one, none could begin.")
            % {"way": linking.way_words(way)}
        )


def _take_over_links(
    into: WorkOrder, others: Sequence[WorkOrder], *, by: User | None, now: datetime
) -> None:
    """The others keep their links too: set aside, they hold nothing up."""
    check_no_circle(into, others)
    one = {into.pk, *(other.pk for other in others)}
    links = OrderLink.objects.filter(order__in=one) | OrderLink.objects.filter(after__in=one)
    pairs = {
        tuple(into.pk if key in one else key for key in pair)
        for pair in links.values_list("order_id", "after_id")
    }
    OrderLink.objects.bulk_create(
        (
            OrderLink(order_id=waits, after_id=after, at=now, by=by)
            for waits, after in sorted(pairs)
            if waits != after
        ),
        ignore_conflicts=True,
    )
    # Among themselves nothing waits any more.
    OrderLink.objects.filter(order=into, after__in=one).delete()
    OrderLink.objects.filter(order__in=one, after=into).delete()


def _take_over_content(
    into: WorkOrder, others: Sequence[WorkOrder], *, by: User | None, now: datetime
) -> None:
    before = into.urgency
    content = united(content_of(into), [content_of(other) for other in others])
    for name in ("tools", "parts", "cautions", "urgency_reasons"):
        setattr(into, name, list(getattr(content, name)))
    for name in ("needs_isolation", "hours", "people", "proof", "urgency_why", "due_on"):
        setattr(into, name, getattr(content, name))
    into.earliest_on, into.urgency = content.earliest_on, content.urgency.value
    if before != into.urgency:
        told = _("Most urgent of the orders that were merged.")
        change = OrderChange(order=into, kind=OrderChange.Kind.URGENCY, at=now, by=by, why=told)
        change.before, change.after = before, into.urgency
        change.save()
    _take_over_waiting(into, others)


def _take_over_waiting(into: WorkOrder, others: Sequence[WorkOrder]) -> None:
    waiting = [other for other in (into, *others) if other.waiting_for]
    if waiting and into.state != OrderState.IN_HAND:
        into.waiting_for = waiting[0].waiting_for
        into.waiting_why = "; ".join(one.waiting_why for one in waiting)[:_WHY_LENGTH]


def _take_over_steps(into: WorkOrder, other: WorkOrder) -> None:
    last = into.steps.order_by("-place").values_list("place", flat=True).first() or 0
    steps = steps_taken_over(into, other)
    for place, step in enumerate(steps, start=last + 1):
        step.place = place
    WorkStep.objects.bulk_create(steps)


def _take_over_parts(into: WorkOrder, other: WorkOrder) -> None:
    """What was used stays where it was used; what is still wanted is wanted here."""
    for line in other.order_parts.all():
        if still_wanted(line):
            want_more(into, line.part_id, still_wanted(line))


def _end(other: WorkOrder, into: WorkOrder, *, by: User | None, now: datetime) -> None:
    other.merged_into = into
    clear_place(other)
    why = _("Merged into %(number)s.") % {"number": into.number}
    put_in_state(other, OrderState.CANCELLED, by=by, now=now, why=why)
    OrderChange.objects.create(
        order=into,
        kind=OrderChange.Kind.MERGED,
        before=other.number,
        after=into.number,
        at=now,
        by=by,
    )
