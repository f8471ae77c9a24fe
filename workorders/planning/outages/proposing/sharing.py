"""What jobs share: the people of a crew at every minute, and hours of work in a place."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from workorders.planning.outages.plan import Span
from workorders.planning.outages.proposing.choices import (
    Clock,
    JobChoice,
    Model,
    SlotChoice,
    Var,
)
from workorders.planning.outages.proposing.question import Question
from workorders.planning.outages.proposing.slots import Stretch

Presence = tuple[Var, list[Var]]


def share_people(
    model: Model, question: Question, choices: Iterable[JobChoice], clock: Clock
) -> list[Presence]:
    """Never more people of a crew at once than there are; returns what was added, for hints."""
    presences: list[Presence] = []
    intervals: dict[str, list[tuple[Var, int]]] = defaultdict(list)
    for choice in choices:
        by_crew: dict[str, list[Var]] = defaultdict(list)
        for one in choice.slots:
            by_crew[one.slot.crew].append(one.is_chosen)
        for crew, those in by_crew.items():
            presence = those[0]
            if len(those) > 1:
                presence = model.new_bool_var("")
                model.add(sum(those) == presence)
                presences.append((presence, those))
            interval = model.new_optional_fixed_size_interval_var(
                choice.start, choice.job.minutes // clock.grain, presence, ""
            )
            intervals[crew].append((interval, choice.job.people))
    for crew, those_of_crew in intervals.items():
        taken = _taken(model, question, crew, clock)
        both = [*those_of_crew, *taken]
        people = question.plan.crews[crew].people
        model.add_cumulative([one[0] for one in both], [one[1] for one in both], people)
    return presences


def _taken(model: Model, question: Question, crew: str, clock: Clock) -> Iterator[tuple[Var, int]]:
    """People away or at standing jobs, as intervals of their own."""
    people = question.plan.crews[crew].people
    for step, free in question.people[crew].steps(question.horizon):
        at, until = clock.step_of(step.starts), clock.step_of(step.ends - 1) + 1
        if free < people:
            yield model.new_fixed_size_interval_var(at, until - at, ""), people - free


@dataclass
class _Share:
    """What lies in one place: in its hours, and in its hours with overtime."""

    hours: int
    whole: int
    those: list[tuple[JobChoice, SlotChoice]] = field(default_factory=list)


def share_hours(model: Model, question: Question, choices: Iterable[JobChoice]) -> None:
    """Work in a window or stretch is no more than its people x minutes.

    Follows from the people at each minute; said again because it tells the solver at once how good
    a plan can be at best.
    """
    for share in _shares(question, choices):
        work = sum(
            choice.job.people * choice.job.minutes * one.is_chosen for choice, one in share.those
        )
        overtime = sum(one.overtime for _choice, one in share.those if one.overtime is not None)
        model.add(work <= share.whole)
        model.add(work - overtime <= share.hours)


def _shares(question: Question, choices: Iterable[JobChoice]) -> Iterable[_Share]:
    """One for each crew's stretch, and one for each window in it."""
    found: dict[tuple[str, Stretch, str | None], _Share] = {}
    for choice in choices:
        for one in choice.slots:
            slot = one.slot
            if slot.stretch is None:
                continue
            for window in (slot.window, None):
                key = (slot.crew, slot.stretch, window)
                if key not in found:
                    found[key] = _share_of(question, *key)
                found[key].those.append((choice, one))
    return found.values()


def _share_of(question: Question, crew: str, stretch: Stretch, window: str | None) -> _Share:
    inside = question.horizon if window is None else question.plan.windows[window].span

    def work_in(span: Span) -> int:
        shared = span.shared_with(inside)
        return question.people[crew].work_in(shared) if shared else 0

    return _Share(work_in(stretch.hours), work_in(stretch.whole))
