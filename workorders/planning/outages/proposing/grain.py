"""The coarsest step of time that loses nothing.

Every best plan can be pushed together until each job begins where something else ends or may first
begin, so that steps of the greatest common divisor of all those times and durations are enough.
"""

from collections.abc import Iterator
from math import gcd

from workorders.planning.outages.proposing.question import Question


def grain_of(question: Question) -> int:
    """Counted from the beginning of the horizon. [min]"""
    origin = question.horizon.starts
    return gcd(*(minute - origin for minute in _times(question)), *_durations(question)) or 1


def _durations(question: Question) -> Iterator[int]:
    return (job.minutes for job in question.free.values())


def _times(question: Question) -> Iterator[int]:
    for slots in question.slots.values():
        for slot in slots:
            yield from (first for first, _last in slot.starts)
    for place in question.present.values():
        yield place.span.starts
    for people in question.people.values():
        for step, _free in people.steps(question.horizon):
            yield step.starts
