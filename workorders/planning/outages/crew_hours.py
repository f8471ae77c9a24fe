"""A crew's hours: what of a stretch is shift, overtime or neither; how many people are there."""

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

from workorders.planning.outages.plan import Crew, Span
from workorders.planning.outages.shifts import merged


@dataclass(frozen=True)
class Cover:
    """Of one stretch, minutes in a shift, in the overtime after one, and in neither; [min]."""

    shift: int
    overtime: int
    neither: int


def cover_of(crew: Crew, span: Span) -> Cover:
    """How a crew's shifts and overtime cover a stretch.

    Parameters
    ----------
    crew : Crew
    span : Span

    Returns
    -------
    Cover
        The three add up to the minutes of the stretch.

    Notes
    -----
    Shifts that meet, or whose overtime reaches the next one, are worked through.
    """
    shift = _minutes(merged(_inside(crew.shifts, span)))
    allowed = _minutes(merged(_inside(with_overtime(crew), span)))
    return Cover(shift=shift, overtime=allowed - shift, neither=span.minutes - allowed)


def with_overtime(crew: Crew) -> tuple[Span, ...]:
    """The crew's shifts, each with the overtime that may be asked for after it."""
    return tuple(Span(one.starts, one.ends + crew.overtime_minutes) for one in crew.shifts)


def people_there(crew: Crew, minute: int) -> int:
    """The crew's people less those who are away at that minute, never below 0."""
    away = sum(one.people for one in crew.absences if one.span.starts <= minute < one.span.ends)
    return max(0, crew.people - away)


def people_minutes_there(crew: Crew, span: Span) -> int:
    """People x minutes of the crew's shifts within a stretch, absences taken off; no overtime."""
    total = 0
    for worked in merged(_inside(crew.shifts, span)):
        edges = {worked.starts, worked.ends}
        for absence in crew.absences:
            edges |= {e for e in (absence.span.starts, absence.span.ends) if worked.starts < e}
        cuts = sorted(edge for edge in edges if edge <= worked.ends)
        total += sum(
            people_there(crew, begins) * (ends - begins)
            for begins, ends in itertools.pairwise(cuts)
        )
    return total


def _inside(spans: Iterable[Span], limits: Span) -> list[Span]:
    return [part for one in spans if (part := one.shared_with(limits)) is not None]


def _minutes(spans: Iterable[Span]) -> int:
    return sum(span.minutes for span in spans)
