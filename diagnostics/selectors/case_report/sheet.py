"""One case as the values of its sheet, in the order a reader needs them: cautions first."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import formats
from django.utils.text import Truncator
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from diagnostics.models import Case
from diagnostics.selectors.case_report import blocks, photos, seen, suspicion
from diagnostics.selectors.case_report.blocks import Block
from diagnostics.selectors.case_report.recorded import CaseRecord, record_of
from plant.loop.vocabulary import Side
from plant.models import User
from plant.templatetags.sheet import plant_date, plant_time, side_words

# What the cells of the title block hold; the facts above say it in full.
_CELL = 64


@dataclass(frozen=True)
class Sheet:
    """`values` are plain JSON; `recorded_until` is the sheet's date."""

    values: dict[str, Any]
    recorded_until: datetime


def case_report(case: Case, reader: User) -> Sheet:
    """`case` comes with its conveyor, plant and the case it repeats."""
    record = record_of(case)
    sections = [
        suspicion.cautions(record),
        _about(record),
        seen.said(record),
        suspicion.confirmed(record),
        seen.drawn(record),
        suspicion.suspected(record),
        suspicion.to_do(record),
        seen.found(record),
        photos.shown(record),
        seen.timed(record),
        seen.looks(record),
    ]
    values = {
        "lang": (get_language() or "en").split("-")[0],
        "title": f"{case.number} {record.conveyor.tag}",
        "maker": "Loopwright",
        "dateline": _dateline(record),
        "heading": case.summary,
        "sections": [one for one in sections if one],
        "foot": _foot(record, reader),
        "sheet_label": _("Sheet"),
        "sheet_words": _("{n} of {m}"),
    }
    return Sheet(values, record.recorded_until)


def _dateline(record: CaseRecord) -> str:
    until = plant_time(record.recorded_until, record.plant)
    told = [record.case.number, str(record.conveyor), record.plant.name]
    if record.plant.is_demo:
        told.append(_("invented demo data"))
    told.append(_("as recorded until %(when)s") % {"when": until})
    return " · ".join(told)


def _foot(record: CaseRecord, reader: User) -> list[list[str]]:
    cells = [
        (_("Conveyor"), str(record.conveyor)),
        (_("Case"), record.case.number),
        (_("Date"), plant_date(record.recorded_until, record.plant)),
        (_("Handed over by"), str(reader)),
    ]
    return [[name, Truncator(value).chars(_CELL)] for name, value in cells]


def _about(record: CaseRecord) -> Block:
    case, conveyor, plant = record.case, record.conveyor, record.plant
    sides = ", ".join(side_words(side.value, conveyor) for side in (Side.LEFT, Side.RIGHT))
    speed = formats.number_format(round(conveyor.speed_mps, 2), 2)
    lost = case.lost_hours
    rows = [
        (_("Conveyor"), conveyor),
        (_("Plant"), plant.name),
        (_("Area"), conveyor.area),
        (_("Carries"), conveyor.carries),
        (_("Belt speed"), f"{speed}\N{NO-BREAK SPACE}m/s"),
        (_("Sides"), _("looking in carrying travel, on both runs: %(sides)s") % {"sides": sides}),
        (_("Case"), f"{case.number}: {case.get_state_display()}"),
        (_("Opened"), plant_time(case.opened_at, plant)),
        (_("Proof run passed"), plant_time(case.proved_at, plant)),
        (_("Ended"), plant_time(case.ended_at, plant)),
        (_("Came back after"), case.repeat_of or ""),
        (_("Lost hours"), "" if lost is None else formats.number_format(lost.normalize())),
    ]
    return blocks.section(_("Conveyor and case"), blocks.facts(rows))
