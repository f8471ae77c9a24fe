"""The variables of one job: when it starts, in which slot, whether at all.

The solver's module is imported late everywhere: it takes half a second. Its variables and
expressions are therefore `Any` here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from workorders.planning.outages.plan import Job, Placement
from workorders.planning.outages.proposing.question import Question
from workorders.planning.outages.proposing.slots import Slot

Model = Any
Var = Any


@dataclass(frozen=True)
class Clock:
    """Steps of `grain` minutes since `origin`."""

    origin: int
    grain: int

    def step_of(self, minute: int) -> int:
        """Rounded down, which is right for the last minute of anything."""
        return (minute - self.origin) // self.grain

    def minute_of(self, step: int) -> int:
        return self.origin + self.grain * step


@dataclass(frozen=True)
class SlotChoice:
    """`overtime` is people x minutes, None where there is none."""

    slot: Slot
    is_chosen: Var
    overtime: Var | None


@dataclass(frozen=True)
class JobChoice:
    """`is_late` and `is_kept` are None where that cannot be."""

    job: Job
    start: Var
    is_placed: Var
    is_late: Var | None
    is_kept: Var | None
    slots: tuple[SlotChoice, ...]

    def hints(
        self, place: Placement | None, now: Placement | None, clock: Clock
    ) -> Iterator[tuple[Var, int]]:
        """What every variable stands at when the job is placed so."""
        yield self.is_placed, place is not None
        if place is not None:
            yield self.start, clock.step_of(place.span.starts)
        if self.is_late is not None:
            is_late = place is not None and place.span.ends > (self.job.latest or 0)
            yield self.is_late, is_late
        if self.is_kept is not None:
            yield self.is_kept, place is not None and place == now
        for one in self.slots:
            there = place if place is not None and one.slot.holds(place) else None
            yield one.is_chosen, there is not None
            if one.overtime is not None and not one.slot.is_overtime:
                span = there.span if there is not None else None
                minutes = one.slot.overtime(span.starts, span.ends) if span else 0
                yield one.overtime, self.job.people * minutes


def choose(model: Model, question: Question, job: Job, clock: Clock) -> JobChoice:
    """Add the variables of a job that has slots."""
    slots = question.slots[job.key]
    first, last = min(one.first for one in slots), max(one.last for one in slots)
    start = model.new_int_var(clock.step_of(first), clock.step_of(last), "")
    is_placed = model.new_bool_var("")
    chosen = tuple(_choose_slot(model, job, slot, start, clock) for slot in slots)
    model.add_exactly_one([one.is_chosen for one in chosen] + [is_placed.negated()])
    is_late = None
    if job.latest is not None and any(one.last + job.minutes > job.latest for one in slots):
        is_late = model.new_bool_var("")
        in_time = start <= clock.step_of(job.latest - job.minutes)
        model.add(in_time).only_enforce_if([is_placed, is_late.negated()])
        model.add_implication(is_late, is_placed)
    is_kept = None
    if job.key in question.present_slots:
        is_kept = model.new_bool_var("")
        model.add(start == clock.step_of(question.present[job.key].span.starts)).only_enforce_if(
            is_kept
        )
        stays = question.present_slots[job.key]
        model.add_implication(is_kept, next(one.is_chosen for one in chosen if one.slot == stays))
    return JobChoice(job, start, is_placed, is_late, is_kept, chosen)


def _choose_slot(model: Model, job: Job, slot: Slot, start: Var, clock: Clock) -> SlotChoice:
    is_chosen = model.new_bool_var("")
    _start_in(model, slot, start, is_chosen, clock)
    most = slot.overtime(slot.last, slot.last + job.minutes)
    if slot.is_overtime:
        return SlotChoice(slot, is_chosen, job.people * job.minutes * is_chosen)
    if not most or slot.stretch is None:
        return SlotChoice(slot, is_chosen, None)
    overtime = model.new_int_var(0, most * job.people, "")
    after = clock.grain * start + clock.origin + job.minutes - slot.stretch.ends
    model.add(overtime >= job.people * after).only_enforce_if(is_chosen)
    model.add(overtime <= most * job.people * is_chosen)
    return SlotChoice(slot, is_chosen, overtime)


def _start_in(model: Model, slot: Slot, start: Var, is_chosen: Var, clock: Clock) -> None:
    from ortools.sat.python import cp_model

    steps = [[clock.step_of(first), clock.step_of(last)] for first, last in slot.starts]
    inside = cp_model.Domain.from_intervals(steps)
    model.add_linear_expression_in_domain(start, inside).only_enforce_if(is_chosen)
