"""One order as a sheet to take to the belt: cautions first, room to write, lines to sign."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.template.defaultfilters import floatformat
from django.urls import reverse
from django.utils import formats
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from diagnostics.templatetags.catalogue import cause_name
from plant.loop.vocabulary import Side
from plant.selectors.drawing import key_in_words
from plant.selectors.printed_drawing import printed_drawing
from plant.templatetags.sheet import metres, side_words
from workorders.models import WorkOrder
from workorders.part_words import figure
from workorders.selectors.job_papers import forms, notices, sign_off
from workorders.selectors.job_papers.materials import materials
from workorders.selectors.job_papers.rows import JobRecord
from workorders.selectors.job_papers.sheet import Printing, paper
from workorders.selectors.job_papers.spans import span_words


def job_paper(record: JobRecord, printing: Printing) -> dict[str, Any]:
    order, plant = record.order, record.plant
    return paper(
        heading=order.title,
        dateline=(
            _("Job sheet %(number)s") % {"number": order.number},
            str(record.conveyor),
            record.conveyor.area,
            plant.name,
            _("invented demo data") if plant.is_demo else "",
        ),
        address=printing.absolute(reverse("order", args=[order.number])),
        sections=[
            notices.stopped(record),
            _cautions(record),
            sign_off.isolation(record),
            _about(record),
            _correction(order),
            _steps(record),
            materials(record),
            _place(record),
            _proof(order),
            *sign_off.to_write(record),
        ],
        foot=printing.foot(
            [
                (_("Order"), _("%(number)s, version %(version)s") % _stamp(order)),
                (_("Conveyor"), str(record.conveyor)),
                (_("Planned"), span_words(order.planned_for, order.planned_until, plant) or "–"),
                (_("Crew"), str(order.crew or "–")),
            ],
            plant,
        ),
    )


def _stamp(order: WorkOrder) -> dict[str, object]:
    return {"number": order.number, "version": order.version}


def _cautions(record: JobRecord) -> Block:
    return blocks.section(_("Before anything else"), blocks.cautions(record.cautions))


def _about(record: JobRecord) -> Block:
    return blocks.section(
        _("What, where and when"), blocks.facts(_facts(record)), *notices.held(record)
    )


def _facts(record: JobRecord) -> Iterator[tuple[object, object]]:
    order, conveyor, plant = record.order, record.conveyor, record.plant
    sides = ", ".join(side_words(side.value, conveyor) for side in (Side.LEFT, Side.RIGHT))
    yield _("At"), _where(order)
    if order.belt_position_m is not None:
        place = metres(order.belt_position_m)
        yield _("Belt position"), _("%(place)s from the reference splice") % {"place": place}
    yield _("Sides"), _("looking in carrying travel, on both runs: %(sides)s") % {"sides": sides}
    if order.cause:
        yield _("Cause"), cause_name(order.cause, plant)
    if order.case:
        yield _("Case"), f"{order.case.number}: {order.case.summary}"
    yield _("Urgency"), f"{order.get_urgency_display()}; {order.get_state_display()}"
    if order.window:
        window = order.window
        when = span_words(window.starts_at, window.ends_at, plant)
        called_off = _("CALLED OFF") if window.called_off_at else ""
        yield _("Window"), ", ".join(one for one in (window.name, when, called_off) if one)
    yield _("Planned"), span_words(order.planned_for, order.planned_until, plant)
    yield _("Crew"), order.crew or ""
    yield _("Time"), _time(order)
    yield _("Not before"), _day(order.earliest_on)
    yield _("Due"), _day(order.due_on)
    yield _("Number in the other system"), order.external_number


def _where(order: WorkOrder) -> str:
    zone = order.get_zone_display() if order.zone else ""
    return ", ".join(part for part in (order.component, zone, metres(order.position_m)) if part)


def _time(order: WorkOrder) -> str:
    hours = "" if order.hours is None else f"{figure(order.hours)}\N{NO-BREAK SPACE}h"
    people = order.people
    if people is None:
        return hours
    said = ngettext("%(people)s person", "%(people)s people", people) % {"people": people}
    return f"{hours}, {said}" if hours else said


def _day(day: date | None) -> str:
    return "" if day is None else formats.date_format(day, "Y-m-d")


def _correction(order: WorkOrder) -> Block | None:
    correction = order.correction
    if not correction:
        return None
    return blocks.section(_("What to shift"), blocks.facts(_shift(order, correction)))


def _shift(order: WorkOrder, correction: dict[str, Any]) -> Iterator[tuple[object, object]]:
    yield _("Move"), correction.get("what", "")
    yield _("Where"), correction.get("where", "")
    move_mm = correction.get("move_mm")
    if move_mm is not None:
        yield _("By"), f"{floatformat(move_mm, '-1')}\N{NO-BREAK SPACE}mm"
    yield _("Which way"), correction.get("direction", "")
    if order.side:
        yield _("Now the belt runs"), side_words(order.side, order.conveyor)
    turns = correction.get("wait_revolutions")
    if turns:
        said = ngettext("%(turns)s turn of the belt", "%(turns)s turns of the belt", turns)
        yield _("Then wait"), said % {"turns": turns}
    yield _("Look for"), correction.get("look_for", "")


def _steps(record: JobRecord) -> Block:
    heading, steps = _("Steps"), record.steps
    if not steps:
        said = _("No steps are written down. Write how it was done under Remarks.")
        return blocks.section(heading, blocks.text(said))
    columns = (_("No."), _("Step"), "h", _("Skill"), _("Done by, time"))
    rows = [
        (
            step.place,
            step.what,
            "" if step.hours is None else figure(step.hours),
            step.skill,
            (step.done_by or _("done")) if step.done_at else "",
        )
        for step in steps
    ]
    ticks = [step.done_at is not None for step in steps]
    return blocks.section(heading, forms.form(columns, (0.5, 6, 0.5, 1.2, 1.8), rows, ticks=ticks))


def _place(record: JobRecord) -> Block | None:
    drawing = record.drawing
    if drawing is None:
        return None
    heading = _("Place on the loop")
    if drawing["missing"]:
        said = _("The loop cannot be drawn yet: %(missing)s") % {"missing": drawing["missing"]}
        return blocks.section(heading, blocks.text(said))
    told = {"marks": key_in_words(drawing), "scale": capfirst(drawing["scale"])}
    key = [_("Marks: %(marks)s. %(scale)s.") % told]
    alt = _("The loop of %(tag)s in side view") % {"tag": record.conveyor.tag}
    return blocks.section(heading, blocks.drawing(printed_drawing(drawing), alt, key))


def _proof(order: WorkOrder) -> Block | None:
    if not order.proof:
        return None
    return blocks.section(_("Proof to do after"), blocks.text(order.proof))
