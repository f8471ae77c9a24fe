"""Where a job could go: a window, a crew and hours of it, with the first and last start.

A stretch is the hours of a crew without a break: shifts that touch are one. Overtime goes on after
a stretch as far as the crew allows and at most until its next one begins. Work that needs no
window is put into shift hours only: there is always another shift, so nobody stays longer for it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from workorders.planning.outages.plan import Crew, Job, Placement, Plan, Span, Window


@dataclass(frozen=True)
class Stretch:
    """From `starts`; shift hours end at `ends`, overtime at `until`, which is not before it."""

    starts: int
    ends: int
    until: int

    @property
    def hours(self) -> Span:
        return Span(self.starts, self.ends)

    @property
    def whole(self) -> Span:
        return Span(self.starts, self.until)


@dataclass(frozen=True)
class Slot:
    """Where a job may start: from the first to the last minute of any of `starts`, in order.

    In a window there is one of them, in hours of one stretch or in its overtime. Work that needs
    no window has one slot a crew, with every stretch of it in `starts`.
    """

    window: str | None
    crew: str
    starts: tuple[tuple[int, int], ...]
    stretch: Stretch | None = None

    @property
    def first(self) -> int:
        return self.starts[0][0]

    @property
    def last(self) -> int:
        return self.starts[-1][1]

    @property
    def is_overtime(self) -> bool:
        """All of it."""
        return self.stretch is not None and self.first >= self.stretch.ends

    def overtime(self, starts: int, ends: int) -> int:
        """What of it lies after the hours of the stretch. [min]"""
        if self.stretch is None or ends <= self.stretch.ends:
            return 0
        return ends - max(starts, self.stretch.ends)

    def holds(self, placement: Placement) -> bool:
        is_there = (self.window, self.crew) == (placement.window, placement.crew)
        at = placement.span.starts
        return is_there and any(first <= at <= last for first, last in self.starts)


@dataclass(frozen=True)
class Bounds:
    """What a job may not start before and must have ended by, whatever the slot. [min]"""

    first: int
    ended_by: int


def stretches_of(crew: Crew) -> tuple[Stretch, ...]:
    """The hours of a crew without a break, in order."""
    merged: list[Span] = []
    for shift in sorted(crew.shifts):
        if merged and shift.starts <= merged[-1].ends:
            ends = max(merged[-1].ends, shift.ends)
            merged[-1] = Span(merged[-1].starts, ends)
        else:
            merged.append(shift)
    following = [span.starts for span in merged[1:]]
    longest = [span.ends + crew.overtime_minutes for span in merged]
    limits = [min(pair) for pair in zip(longest, following, strict=False)] + longest[-1:]
    return tuple(
        Stretch(span.starts, span.ends, until) for span, until in zip(merged, limits, strict=True)
    )


def slots_of(
    job: Job, plan: Plan, stretches: Mapping[str, tuple[Stretch, ...]], bounds: Bounds
) -> tuple[Slot, ...]:
    """Every slot the job fits into by itself: window, skills, people, hours, its own dates.

    `stretches` are those of every crew.
    """
    find = _in_windows if job.needs_window else _in_hours
    windows = windows_of(job, plan)
    return tuple(
        slot
        for crew in plan.crews.values()
        if job.skills <= crew.skills and job.people <= crew.people
        for slot in find(job, crew.key, stretches[crew.key], windows, bounds)
    )


def windows_of(job: Job, plan: Plan) -> tuple[Window, ...]:
    return tuple(one for one in plan.windows.values() if job.conveyor in one.conveyors)


def overtime_in(stretches: tuple[Stretch, ...], span: Span) -> int:
    """What of a span lies in the overtime after any of the stretches. [min]"""
    after = (
        Span(one.ends, one.until).shared_with(span)
        for one in stretches
        if one.ends < min(one.until, span.ends)
    )
    return sum(one.minutes for one in after if one is not None)


def _in_windows(
    job: Job,
    crew: str,
    stretches: tuple[Stretch, ...],
    windows: tuple[Window, ...],
    bounds: Bounds,
) -> Iterator[Slot]:
    for stretch in stretches:
        for window in windows:
            shared = window.span.shared_with(stretch.whole)
            if shared is None:
                continue
            first, last = _starts(job, shared, bounds)
            in_hours = first, min(last, stretch.ends - 1)
            after = max(first, stretch.ends), last
            for starts in (in_hours, after):
                if starts[0] <= starts[1]:
                    yield Slot(window.key, crew, (starts,), stretch)


def _in_hours(
    job: Job,
    crew: str,
    stretches: tuple[Stretch, ...],
    _windows: tuple[Window, ...],
    bounds: Bounds,
) -> Iterator[Slot]:
    starts = [_starts(job, stretch.hours, bounds) for stretch in stretches]
    possible = tuple(one for one in starts if one[0] <= one[1])
    if possible:
        yield Slot(None, crew, possible)


def _starts(job: Job, inside: Span, bounds: Bounds) -> tuple[int, int]:
    """First and last start; the last is before the first where the job does not fit."""
    return max(inside.starts, bounds.first), min(inside.ends, bounds.ended_by) - job.minutes
