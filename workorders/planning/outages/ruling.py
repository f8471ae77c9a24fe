"""How a strip of the outage sheet is ruled: where times stand along it, and bars beside each other.

Places along a strip are thousandths of its length, whole numbers, fine enough for paper and screen.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from workorders.planning.outages.plan import Span
from workorders.planning.outages.shifts import merged

WHOLE = 1000
_HOUR = 60


@dataclass(frozen=True)
class Along:
    """From `begins`, `length` long, of a strip that is 1000 long."""

    begins: int
    length: int


def along(strip: Span, span: Span) -> Along | None:
    """Where a stretch of time stands along a strip.

    Parameters
    ----------
    strip, span : Span

    Returns
    -------
    Along or None
        At least one thousandth long, what lies outside cut off; None when all of it does.
    """
    inside = strip.shared_with(span)
    if inside is None:
        return None
    begins = _thousandths(strip, inside.starts)
    return Along(begins, max(1, _thousandths(strip, inside.ends) - begins))


def strip_around(span: Span, room: int, hour_at: int = 0) -> Span:
    """A stretch with room at both ends, rounded outward to whole hours.

    Parameters
    ----------
    span : Span
    room : int
        The least at either end. [min]
    hour_at : int
        At which minute of an hour of UTC the clock on the wall shows a whole hour, 0 to 59.

    Returns
    -------
    Span
    """
    starts = (span.starts - room - hour_at) // _HOUR * _HOUR
    ends = -(-(span.ends + room - hour_at) // _HOUR) * _HOUR
    return Span(starts + hour_at, ends + hour_at)


def hours_between_ticks(strip: Span) -> int:
    """So many that the figures along a strip do not run into each other. [h]"""
    hours = strip.minutes / _HOUR
    return next((step for step, most in ((1, 26), (2, 50), (6, 170)) if hours <= most), 24)


def gaps(strip: Span, spans: Iterable[Span]) -> tuple[Span, ...]:
    """What of a strip none of the stretches covers, in order; they may overlap and reach out."""
    found, free_from = [], strip.starts
    for span in merged(spans):
        if free_from < min(span.starts, strip.ends):
            found.append(Span(free_from, min(span.starts, strip.ends)))
        free_from = max(free_from, span.ends)
    if free_from < strip.ends:
        found.append(Span(free_from, strip.ends))
    return tuple(found)


def lanes_of(spans: Sequence[Span], least: int) -> tuple[int, ...]:
    """Give each bar a lane in which no other stands in its way.

    Parameters
    ----------
    spans : sequence of Span
    least : int
        A bar takes at least this much, for its lettering. [min]

    Returns
    -------
    tuple of int
        From 0, for each span in the order given; the earliest stand lowest.
    """
    free_from: list[int] = []
    lanes = [0] * len(spans)
    for place in sorted(range(len(spans)), key=lambda one: spans[one]):
        span = spans[place]
        ends = max(span.ends, span.starts + least)
        lane = next((n for n, free in enumerate(free_from) if free <= span.starts), len(free_from))
        if lane == len(free_from):
            free_from.append(ends)
        else:
            free_from[lane] = ends
        lanes[place] = lane
    return tuple(lanes)


def _thousandths(strip: Span, minute: int) -> int:
    return (minute - strip.starts) * WHOLE // strip.minutes
