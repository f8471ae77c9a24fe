"""Cautions, what is confirmed and suspected with its reasons, and what to do."""

from collections.abc import Iterator
from typing import Any

from django.template.defaultfilters import floatformat
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.models import Hypothesis
from diagnostics.selectors import shelf
from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from diagnostics.selectors.case_report.recorded import CaseRecord
from diagnostics.templatetags.catalogue import cause_name
from diagnostics.templatetags.desk import drive_words, pattern_words, reasons_shown
from diagnostics.walking_cautions import walking_cautions
from plant.models import Conveyor, Plant
from plant.templatetags.sheet import metres, percent, plant_time, side_words

_CHECKS = 5


def cautions(record: CaseRecord) -> Block:
    """Those of every walk and those of what is suspected, each with its source; never left out."""
    of_walk = walking_cautions(record.plant.pk)
    of_case = [str(one) for one in record.answer.get("cautions", [])]
    return blocks.section(
        _("Before anything else"), blocks.cautions(dict.fromkeys(of_walk + of_case))
    )


def confirmed(record: CaseRecord) -> Block | None:
    if not record.accepted:
        return None
    said = [part for one in record.accepted for part in _confirmed(one, record)]
    return blocks.section(_("The cause, confirmed by a person"), *said)


def _confirmed(one: Hypothesis, record: CaseRecord) -> Iterator[Block]:
    yield blocks.heading(_named(one, record.plant))
    when = plant_time(one.accepted_at, record.plant)
    yield blocks.text(f"{one.judged_by}, {when}" if one.judged_by else when, soft=True)
    if one.judged_why:
        yield blocks.text(one.judged_why)


def suspected(record: CaseRecord) -> Block:
    heading = _("Suspected, likeliest first")
    if record.diagnosis is None:
        return blocks.section(heading, blocks.text(_why_none(record)))
    made = plant_time(record.diagnosis.made_at, record.plant)
    said = _("A suggestion of the program from what was seen, made %(when)s. A person confirms it.")
    parts = [blocks.text(said % {"when": made}, strong=True), *_setting(record)]
    for number, one in enumerate(record.suspected, start=1):
        parts += _suspicion(number, one, record.conveyor)
    if not record.answer.get("ranked"):
        parts.append(blocks.text(_("Nothing can be suspected yet.")))
    return blocks.section(heading, *parts)


def _why_none(record: CaseRecord) -> str:
    if record.drawing["missing"]:
        missing = {"missing": record.drawing["missing"]}
        return _("No diagnosis can be made until the register is complete: %(missing)s") % missing
    return _("No diagnosis yet. It is made as soon as somebody has walked the belt.")


def _setting(record: CaseRecord) -> Iterator[Block]:
    answer = record.answer
    if record.case.diagnosis_owed_at:
        yield blocks.text(_("Something was recorded since; a new diagnosis is on its way."))
    if not answer.get("sufficient", True):
        yield blocks.text(_("What was seen does not support an answer yet."), strong=True)
    onset = answer.get("onset")
    where = f"{onset['station']}, {metres(onset['position_m'])}" if onset else _("no one place")
    rows = [
        (_("Pattern"), pattern_words(answer.get("pattern", ""))),
        (_("First off centre"), where),
    ]
    for part in (blocks.facts(rows), blocks.listed(answer.get("notes", []))):
        if part:
            yield part


def _suspicion(number: int, one: Hypothesis, conveyor: Conveyor) -> Iterator[Block]:
    detail = one.detail
    yield blocks.heading(f"{number}. {_named(one, conveyor.plant)}: {percent(one.probability)}")
    if one.refuted_at:
        why = f": {one.judged_why}" if one.judged_why else ""
        yield blocks.text(_("Refuted by %(who)s") % {"who": one.judged_by or "–"} + why)
    drives = drive_words(detail, conveyor)
    if drives:
        yield blocks.text(drives[:1].upper() + drives[1:] + ".")
    if reasons := blocks.listed(reasons_shown(detail), "+"):
        yield blocks.lead(_("Speaks for it"))
        yield reasons
    if against := blocks.listed(detail.get("against", []), "–"):
        yield blocks.lead(_("Speaks against it"))
        yield against


def to_do(record: CaseRecord) -> Block:
    """The mend of what is confirmed, else of the first suspicion, and what to look at next."""
    parts: list[Block | None] = []
    open_ones = [one for one in record.suspected if not one.refuted_at]
    for one in record.accepted or open_ones[:1]:
        condition = "%(cause)s" if one.accepted_at else _("If it is the cause: %(cause)s")
        parts.append(blocks.heading(condition % {"cause": _named(one, record.plant)}))
        parts.append(_correction(one, record.conveyor))
    if checks := record.answer.get("next_checks", [])[:_CHECKS]:
        parts += [blocks.heading(_("Look at next")), blocks.listed(map(_check, checks))]
    if not parts:
        parts.append(blocks.text(_("Walk the belt and note at each station how it runs.")))
    return blocks.section(_("What to do"), *parts)


def _correction(one: Hypothesis, conveyor: Conveyor) -> Block | None:
    correction = one.detail.get("correction")
    if not correction:
        cause = shelf.shown_cause(conveyor.plant_id, one.cause)
        return blocks.text(cause.correct if cause else _("As its work order says."))
    return blocks.facts(
        [
            (_("Do"), correction["what"]),
            (_("Where"), correction["where"]),
            (_("How far"), _how_far(correction, one.detail.get("side") or "", conveyor)),
            (_("Then"), _wait(correction["wait_revolutions"])),
            (_("Look for"), correction["look_for"]),
        ]
    )


def _how_far(correction: dict[str, Any], side: str, conveyor: Conveyor) -> str:
    if correction["move_mm"] is None:
        return ""
    size = floatformat(correction["move_mm"], "-1")
    said = _("%(size)s mm, %(direction)s") % {"size": size, "direction": correction["direction"]}
    runs = _("the belt runs %(side)s") % {"side": side_words(side, conveyor)} if side else ""
    return f"{said} ({runs})" if runs else said


def _wait(turns: int) -> str:
    said = ngettext("wait %(turns)s turn of the belt", "wait %(turns)s turns of the belt", turns)
    return said % {"turns": turns}


def _check(check: dict[str, Any]) -> str:
    minutes = floatformat(check["minutes"], "-1")
    stop = _("stopped and locked out") if check["needs_stop"] else _("running, from outside")
    said = _("%(what)s (%(where)s; %(minutes)s min, %(stop)s)")
    return said % {"what": check["what"], "where": check["where"], "minutes": minutes, "stop": stop}


def _named(one: Hypothesis, plant: Plant) -> str:
    place = metres(one.position_m) or one.zone
    return ", ".join(part for part in (cause_name(one.cause, plant), one.component, place) if part)
