"""What a split or a merge would come to, before it is done; nothing is written."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from workorders.models import Part, WorkOrder
from workorders.order_states import OrderState
from workorders.order_sums import Content, split_hours, united
from workorders.order_words import STATE_WORDS, URGENCY_WORDS, Words
from workorders.part_words import amount_words
from workorders.services.merging import content_of, steps_taken_over
from workorders.services.order_lines import still_wanted
from workorders.services.splitting import Rest


@dataclass(frozen=True)
class Shown:
    """An order as it would be; hours [h] None where nobody knows."""

    heading: str
    title: str
    state: Words
    steps: list[str]
    hours: Decimal | None
    parts: list[str]


@dataclass(frozen=True)
class MergedShown:
    into: Shown
    content: Content
    urgency: Words


def split_shown(order: WorkOrder, rest: Rest) -> tuple[Shown, Shown]:
    """What stays, and the new order."""
    steps = list(order.steps.all())
    going = [step for step in steps if step.place in rest.places]
    halves = split_hours(order.hours, [step.hours for step in going], rest.hours)
    lines = list(order.order_parts.select_related("part"))
    amounts = {line.pk: rest.amounts.get(line.pk, Decimal(0)) for line in lines}
    goes = [_part_words(amounts[one.pk], one.part) for one in lines if amounts[one.pk]]
    stays = [(one, one.amount - amounts[one.pk]) for one in lines]
    state = OrderState.PROPOSED if order.state == OrderState.PROPOSED else OrderState.APPROVED
    return (
        Shown(
            heading=order.number,
            title=order.title,
            state=STATE_WORDS[OrderState(order.state)],
            steps=[step.what for step in steps if step not in going],
            hours=halves.stay,
            parts=[_part_words(amount, one.part) for one, amount in stays if amount],
        ),
        Shown("", rest.title, STATE_WORDS[state], [one.what for one in going], halves.go, goes),
    )


def merge_shown(into: WorkOrder, others: Sequence[WorkOrder]) -> MergedShown:
    content = united(content_of(into), [content_of(other) for other in others])
    steps = list(into.steps.all())
    for other in others:
        steps += steps_taken_over(into, other)
    return MergedShown(
        Shown(
            heading=into.number,
            title=into.title,
            state=STATE_WORDS[OrderState(into.state)],
            steps=[step.what for step in steps],
            hours=content.hours,
            parts=_parts([into, *others]),
        ),
        content,
        URGENCY_WORDS[content.urgency],
    )


def _parts(orders: Sequence[WorkOrder]) -> list[str]:
    """The first is the one that goes on, whose used parts stay with it."""
    wanted: dict[int, Decimal] = {}
    parts = {}
    for number, order in enumerate(orders):
        for line in order.order_parts.select_related("part"):
            amount = still_wanted(line) if number else line.amount
            wanted[line.part_id] = wanted.get(line.part_id, Decimal(0)) + amount
            parts[line.part_id] = line.part
    return [_part_words(amount, parts[key]) for key, amount in wanted.items() if amount]


def _part_words(amount: Decimal, part: Part) -> str:
    return f"{amount_words(amount, part)} {part.name}"
