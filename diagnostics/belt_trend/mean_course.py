"""A belt's cases, one after the other, beside those of the plant's average belt."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import fault_words, reckoning_words
from diagnostics.belt_trend import course_chart
from diagnostics.belt_trend.beside_plant import BesidePlant, beside_plant
from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.belt_trend.words import nothing_words, waiting_words
from diagnostics.recurrence.faults.plant import Course, PlantFaults
from diagnostics.selectors.belt_faults import BeltFault, BeltStudy
from plant import exposure_words
from plant.chart_view import Cell, ChartView, Linked
from plant.metering.basis import Basis
from plant.metering.clocks import DAY_S, BeltClock


@dataclass(frozen=True)
class OwnStep:
    """The belt has had `so_far` cases by `time` of exposure; `fault` is the one that came then."""

    time: float
    so_far: int
    fault: BeltFault


def build(study: BeltStudy) -> BuiltPart:
    heading = _("Its cases beside the plant's average belt")
    found, (basis, clock) = beside_plant(study), study.exposure
    if found.plant is None:
        return BuiltPart(heading, header=_header(basis), missing=waiting_words())
    if clock is None or not clock.is_known:
        return BuiltPart(heading, header=_header(basis), missing=_no_clock(clock))
    if not study.faults and not found.plant.mean.time:
        return BuiltPart(heading, header=_header(basis), missing=nothing_words())
    begin = _begin(clock, basis, found.plant)
    steps, last = list(_steps(study, clock, begin)), begin + clock.total
    course, tag = found.plant.mean, study.conveyor.tag
    charts = [
        course_chart.spec_of(
            steps, course, begin, last, tag=tag, across=_across(basis), width=width
        )
        for width in (course_chart.WIDTH, course_chart.NARROW)
    ]
    chart = ChartView(
        slug="course",
        heading=heading,
        lead=_lead(steps, course, (begin, last), basis),
        spec=charts[0],
        narrow_spec=charts[1],
        header=_header(basis),
        rows=list(_rows(steps, course, last)),
        caption=_(
            "Thick line: this belt, a step up for each case, a diamond for a repeat. Broken line: "
            "mean cumulative function of all belts of the plant; the ground round it is its 90 % "
            "limits (robust, after Lawless and Nadeau). They are those of the average, not of how "
            "far single belts scatter."
        ),
        file_address=study.file_address("course"),
    )
    return BuiltPart(heading, chart=chart, notes=_notes(study, found, steps))


def _no_clock(clock: BeltClock | None) -> str:
    if clock is None:
        return _("The belt was not watched in this period: choose another one.")
    return _(
        "No meter reading covers any of the period, so there is nothing to set its cases against: "
        "read the meter, or choose calendar time."
    )


def _begin(clock: BeltClock, basis: Basis, plant: PlantFaults) -> float:
    """Where its clock begins on the plant's scale: on the calendar a late belt joins late."""
    if basis is not Basis.CALENDAR or not plant.since:
        return 0.0
    since = clock.first.fromisoformat(plant.since).replace(tzinfo=clock.first.tzinfo)
    return max(0.0, (clock.first - since) / timedelta(seconds=DAY_S))


def _steps(study: BeltStudy, clock: BeltClock, begin: float) -> Iterator[OwnStep]:
    """Cases of unknown exposure are no step; the note counts them."""
    shown = clock.at_many([fault.opened_at for fault in study.faults]) if study.faults else ()
    so_far = 0
    for time, fault in zip(shown, study.faults, strict=True):
        if np.isfinite(time):
            so_far += 1
            yield OwnStep(begin + float(time), so_far, fault)


def _lead(
    steps: Sequence[OwnStep], course: Course, watched: tuple[float, float], basis: Basis
) -> str:
    """Of the belt's own time: one that joined late is held against the others since then."""
    own, (begin, last) = len(steps), watched
    told = ngettext(
        "In %(amount)s this belt has had %(own)s case.",
        "In %(amount)s this belt has had %(own)s cases.",
        own,
    ) % {"own": own, "amount": exposure_words.amount_words(last - begin, basis)}
    mean, lower, upper = _at(course, last)
    if begin:
        told_mean = exposure_words.significant(mean - _at(course, begin)[0])
        since = _("The plant's average belt has had %(mean)s in the same days.")
        return f"{told} {since % {'mean': told_mean}}"
    limits = fault_words.between(lower, upper)
    average = _("The plant's average belt has had %(mean)s by then") % {
        "mean": exposure_words.significant(mean)
    }
    if limits:
        average += _(" (90 %% limits %(limits)s)") % {"limits": limits}
    return f"{told} {average}."


def _at(course: Course, time: float) -> tuple[float, float | None, float | None]:
    """The plant's mean and its limits up to a time."""
    step = int(np.searchsorted(np.array(course.time), time, side="right")) - 1
    if step < 0:
        return 0.0, None, None
    return course.mcf[step], course.lower[step], course.upper[step]


def _across(basis: Basis) -> str:
    return {
        Basis.RUNNING: _("running hours since the period began (h)"),
        Basis.TONNES: _("tonnes since the period began (t)"),
        Basis.CALENDAR: _("days since the watch began"),
    }[basis]


def _header(basis: Basis) -> list[str]:
    return [
        _across(basis),
        _("this belt"),
        _("plant's average belt"),
        _("lower limit (90 %)"),
        _("upper limit (90 %)"),
        _("case"),
    ]


def _rows(steps: Sequence[OwnStep], course: Course, last: float) -> Iterator[list[Cell]]:
    for step in steps:
        number = Linked(step.fault.number, step.fault.address)
        yield [round(step.time, 1), step.so_far, *_at(course, step.time), number]
    yield [round(last, 1), len(steps), *_at(course, last), ""]


def _notes(study: BeltStudy, found: BesidePlant, steps: Sequence[OwnStep]) -> list[str]:
    notes = []
    left_out = len(study.faults) - len(steps)
    if left_out:
        told = ngettext(
            "%(many)s case is no step: the exposure at its time is not known.",
            "%(many)s cases are no steps: the exposure at their time is not known.",
            left_out,
        )
        notes.append(told % {"many": left_out})
    if found.plant is not None:
        notes += reckoning_words.notes_words(found.plant.notes)
    return notes
