"""Why a job is left out: the strongest reason that its candidates give."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from workorders.planning.outages.plan import Crew, Job, Placement, Span, Window
from workorders.planning.outages.proposing.question import Question, must_end_by
from workorders.planning.outages.proposing.slots import Stretch, windows_of

# So many of those that took its place are named.
_MOST_NAMED = 5


class Reason(StrEnum):
    """The strongest first."""

    PARTS_MISSING = "parts_missing"
    HELD = "held"
    NO_WINDOW = "no_window"
    LONGER_THAN_WINDOWS = "longer_than_windows"
    LACKS_SKILL = "lacks_skill"
    TOO_FEW_PEOPLE = "too_few_people"
    TOO_LATE_TO_BEGIN = "too_late_to_begin"
    PARTS_TOO_LATE = "parts_too_late"
    NO_SHIFT = "no_shift"
    BEFORE_STANDING = "before_standing"
    WAITS_FOR_LEFT_OUT = "waits_for_left_out"
    FULL = "full"


@dataclass(frozen=True)
class LeftOut:
    """One job that goes nowhere, with what explains it.

    Attributes
    ----------
    job : str
    reason : Reason
    names : tuple of str
        Skills that no crew has; the jobs it waits for; pinned ones before which it had to be done;
        for a full sheet, jobs at least as urgent that stand where it could.
    asked, there : int
        Minutes or people, as the reason has it; for a full sheet people x minutes of all jobs that
        could only go there, against what the crews have.
    at : int or None
        The minute it is about. [min since 1970-01-01 UTC]
    why : str
        What is missing or why it is held, as the job says it.
    """

    job: str
    reason: Reason
    names: tuple[str, ...] = ()
    asked: int = 0
    there: int = 0
    at: int | None = None
    why: str = ""


def reasons_of(question: Question, placed: Mapping[str, Placement]) -> tuple[LeftOut, ...]:
    """For every free job that is not placed, in order of their keys."""
    left = [job for key, job in sorted(question.free.items()) if key not in placed]
    return tuple(_reason_of(question, job, placed) for job in left)


def _reason_of(question: Question, job: Job, placed: Mapping[str, Placement]) -> LeftOut:
    return next(
        found
        for looked in (
            _by_itself(job),
            _by_windows(question, job),
            _by_crews(question, job),
            _by_dates(question, job),
            _by_order(question, job, placed),
            _by_room(question, job, placed),
        )
        for found in looked
    )


def _by_itself(job: Job) -> Iterator[LeftOut]:
    if job.parts_missing:
        yield LeftOut(job.key, Reason.PARTS_MISSING, why=job.parts_missing)
    if job.held:
        yield LeftOut(job.key, Reason.HELD, why=job.held)


def _by_windows(question: Question, job: Job) -> Iterator[LeftOut]:
    if not job.needs_window:
        return
    windows = windows_of(job, question.plan)
    longest = max((one.span.minutes for one in windows), default=0)
    if not windows:
        yield LeftOut(job.key, Reason.NO_WINDOW)
    elif longest < job.minutes:
        yield LeftOut(job.key, Reason.LONGER_THAN_WINDOWS, asked=job.minutes, there=longest)


def _by_crews(question: Question, job: Job) -> Iterator[LeftOut]:
    skilled = _skilled(question, job)
    if not skilled:
        lacking = _lacking(question, job)
        yield LeftOut(job.key, Reason.LACKS_SKILL, names=lacking)
        return
    most = max(one.people for one in skilled)
    if most < job.people:
        yield LeftOut(job.key, Reason.TOO_FEW_PEOPLE, asked=job.people, there=most)


def _skilled(question: Question, job: Job) -> list[Crew]:
    return [one for one in question.plan.crews.values() if job.skills <= one.skills]


def _lacking(question: Question, job: Job) -> tuple[str, ...]:
    """The skills no crew has; where each is in some crew but never all in one, all of them."""
    known = {skill for one in question.plan.crews.values() for skill in one.skills}
    return tuple(sorted(job.skills - known or job.skills))


def _by_dates(question: Question, job: Job) -> Iterator[LeftOut]:
    """No crew's hours in any window hold it once its own dates are asked for."""
    if question.slots[job.key]:
        return
    last = max(_last_starts(question, job), default=None)
    if last is None:
        yield LeftOut(job.key, Reason.NO_SHIFT, asked=job.minutes)
        return
    if job.parts_on is not None and job.parts_on > last:
        yield LeftOut(job.key, Reason.PARTS_TOO_LATE, at=job.parts_on)
    if job.earliest is not None and job.earliest > last:
        yield LeftOut(job.key, Reason.TOO_LATE_TO_BEGIN, at=job.earliest)
    yield from _by_standing(question, job)


def _last_starts(question: Question, job: Job) -> Iterator[int]:
    """The last start of each window and stretch that holds the job, whatever its dates."""
    windows: tuple[Window | None, ...] = (None,)
    if job.needs_window:
        windows = windows_of(job, question.plan)
    for crew in _skilled(question, job):
        for stretch in question.stretches[crew.key]:
            for window in windows:
                shared = _shared(question, stretch, window)
                if shared is not None and shared.minutes >= job.minutes:
                    yield shared.ends - job.minutes


def _shared(question: Question, stretch: Stretch, window: Window | None) -> Span | None:
    if window is None:
        return stretch.hours.shared_with(question.horizon)
    return stretch.whole.shared_with(window.span)


def _by_standing(question: Question, job: Job) -> Iterator[LeftOut]:
    """Only jobs that stand fast are left to hinder it: it waits for them or must be done before."""
    ends = must_end_by(question.plan.jobs, question.standing, question.horizon.ends)[job.key]
    followers = [key for key in question.standing if job.key in question.plan.jobs[key].after]
    before = [key for key in job.after if key in question.standing]
    names = tuple(sorted(followers if followers else before))
    yield LeftOut(job.key, Reason.BEFORE_STANDING, names=names, at=ends)


def _by_order(question: Question, job: Job, placed: Mapping[str, Placement]) -> Iterator[LeftOut]:
    waits_for = tuple(one for one in question.leaders(job) if one not in placed)
    if waits_for:
        yield LeftOut(job.key, Reason.WAITS_FOR_LEFT_OUT, names=waits_for)


def _by_room(question: Question, job: Job, placed: Mapping[str, Placement]) -> Iterator[LeftOut]:
    """What all jobs ask for that could go where it could, against what is there."""
    spans = _where(question, job)
    there = sum(
        question.people[crew].work_in(span) for crew, those in spans.items() for span in those
    )
    taking = [
        one for key, place in placed.items() if _is_in(place, spans) and (one := question.free[key])
    ]
    waiting = [
        one
        for key, one in question.free.items()
        if key not in placed
        and any(slot.crew in spans for slot in question.slots[key])
        and _shares_slot(question, one, job)
    ]
    asked = sum(one.people * one.minutes for one in (*taking, *waiting))
    urgent = sorted(
        (one for one in taking if one.weight >= job.weight), key=lambda one: (-one.weight, one.key)
    )
    names = tuple(one.key for one in urgent[:_MOST_NAMED])
    yield LeftOut(job.key, Reason.FULL, names=names, asked=asked, there=there)


def _where(question: Question, job: Job) -> dict[str, list[Span]]:
    """By crew, from the first start to the last end of each of its slots, shifts apart."""
    found: dict[str, list[Span]] = {}
    for slot in question.slots[job.key]:
        for first, last in slot.starts:
            found.setdefault(slot.crew, []).append(Span(first, last + job.minutes))
    return {crew: _merged(spans) for crew, spans in found.items()}


def _merged(spans: list[Span]) -> list[Span]:
    merged: list[Span] = []
    for span in sorted(spans):
        if merged and span.starts <= merged[-1].ends:
            merged[-1] = Span(merged[-1].starts, max(merged[-1].ends, span.ends))
        else:
            merged.append(span)
    return merged


def _is_in(place: Placement, spans: Mapping[str, list[Span]]) -> bool:
    return any(span.shared_with(place.span) for span in spans.get(place.crew, ()))


def _shares_slot(question: Question, one: Job, job: Job) -> bool:
    mine = {(slot.window, slot.crew) for slot in question.slots[job.key]}
    return any((slot.window, slot.crew) in mine for slot in question.slots[one.key])
