"""What was said, seen, timed and found."""

from collections.abc import Iterator

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.models import Finding, Sighting, TimedLook, WalkDown
from diagnostics.selectors import loop_ribbon
from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from diagnostics.selectors.case_report.recorded import CaseRecord
from diagnostics.templatetags.catalogue import cause_name
from diagnostics.templatetags.desk import is_beyond
from plant.loop.vocabulary import Run, Side
from plant.models import Plant
from plant.selectors.drawing import key_in_words
from plant.selectors.printed_drawing import printed_drawing
from plant.templatetags.sheet import metres, plant_time, side_words

# More make a book, not a report; the walk-downs' own pages show all.
LOOKS_AT_MOST = 1000
_WIDTHS = (1.3, 1.7, 2.4, 1.6, 2.6)


def said(record: CaseRecord) -> Block:
    """Callers' words; who called and how to call back stays in the office."""
    quotes = [
        blocks.quote(
            one.words, f"{plant_time(one.received_at, record.plant)}, {one.get_how_bad_display()}"
        )
        for one in record.complaints
    ]
    none = blocks.text(_("Nobody called; the case was opened by hand."))
    return blocks.section(_("What was said"), *(quotes or [none]))


def drawn(record: CaseRecord) -> Block:
    heading, drawing = _("Along the loop"), record.drawing
    if drawing["missing"]:
        said_so = _("The loop cannot be drawn yet: %(missing)s") % {"missing": drawing["missing"]}
        return blocks.section(heading, blocks.text(said_so))
    key = [_how_to_read(record)] if drawing["has_ribbon"] else [_("No look is drawn yet.")]
    marks = key_in_words(drawing)
    if marks:
        key.append(_("Marks: %(marks)s.") % {"marks": marks})
    once_round = metres(drawing["loop"].length_m)
    told = {"scale": capfirst(drawing["scale"]), "length": once_round}
    key.append(_("%(scale)s; once round %(length)s.") % told)
    alt = _("The loop of %(tag)s in side view") % {"tag": record.conveyor.tag}
    return blocks.section(heading, blocks.drawing(printed_drawing(drawing), alt, key))


def _how_to_read(record: CaseRecord) -> str:
    right, left = (side_words(side.value, record.conveyor) for side in (Side.RIGHT, Side.LEFT))
    told = _(
        "Ribbon: how far the belt runs off centre. Outside the loop is %(right)s, inside is "
        "%(left)s, looking in carrying travel on both runs; the broken lines are where its edge "
        "touches."
    )
    return told % {"right": right, "left": left}


def timed(record: CaseRecord) -> Block | None:
    if not record.timed_looks:
        return None
    return blocks.section(
        _("Timed looks"),
        blocks.listed(_timed(one, record.plant) for one in record.timed_looks),
    )


def _timed(one: TimedLook, plant: Plant) -> str:
    when = plant_time(one.started_at, plant)
    what = f"{one.get_kind_display()}, {one.get_load_display()}"
    told = " ".join(part for part in (one.said, one.note) if part)
    return f"{one.station}, {when} ({what}): {told}" if told else f"{one.station}, {when} ({what})"


def found(record: CaseRecord) -> Block:
    items = [_found(one, record.plant) for one in record.findings]
    noticed = [_noticed(one, record.plant) for one in record.walk_downs]
    also = blocks.listed(one for one in noticed if one)
    none = blocks.text(_("No component was looked at closely yet."))
    parts = [blocks.listed(items) or none, also and blocks.heading(_("Also noticed")), also]
    return blocks.section(_("What was found"), *parts)


def _found(one: Finding, plant: Plant) -> str:
    answer = _("yes") if one.is_present else _("no")
    what = ", ".join(part for part in (cause_name(one.cause, plant), one.place) if part)
    who = f", {one.who}" if one.who else ""
    note = f": {one.note}" if one.note else ""
    return f"{answer}: {what}{note} ({plant_time(one.found_at, plant)}{who})"


def _noticed(one: WalkDown, plant: Plant) -> str:
    told = "; ".join([*(_(remark) for remark in one.remarks), *filter(None, [one.note])])
    return f"{plant_time(one.started_at, plant)}: {told}" if told else ""


def looks(record: CaseRecord) -> Block:
    heading, count = _("Looks along the belt"), len(record.looks)
    if not record.walk_downs:
        return blocks.section(heading, blocks.text(_("Nobody has walked this belt yet.")))
    columns = (_("Station"), _("Where"), _("Belt runs"), _("Belt"), _("Note"))
    told = ngettext("%(count)s look.", "%(count)s looks.", count) % {"count": count}
    if count > LOOKS_AT_MOST:
        told = _("%(count)s looks; the latest %(shown)s are listed, the pages show all.") % {
            "count": count,
            "shown": LOOKS_AT_MOST,
        }
    return blocks.section(
        heading,
        blocks.text(told, soft=True),
        blocks.text(_mended(record)) if record.mended_at else None,
        blocks.table(columns, _WIDTHS, _rows(record)),
    )


def _mended(record: CaseRecord) -> str:
    when = plant_time(record.mended_at, record.plant)
    return _(
        "A mend that did not hold ended %(when)s; looks of before show the belt as it was."
    ) % {"when": when}


def _rows(record: CaseRecord) -> Iterator[list[str]]:
    to_leave_out = max(0, len(record.looks) - LOOKS_AT_MOST)
    for walk_down in record.walk_downs:
        rows = list(walk_down.sightings.all())
        left_out = min(len(rows), to_leave_out)
        to_leave_out -= left_out
        if rows and left_out == len(rows):
            continue
        yield [_pass(walk_down, record.plant)]
        yield from (_look(one, record) for one in rows[left_out:])


def _pass(one: WalkDown, plant: Plant) -> str:
    told = [plant_time(one.started_at, plant)]
    if one.walked_by:
        told.append(str(one.walked_by))
    if one.stopped_reason:
        told.append(_("the belt stood still: %(why)s") % {"why": one.stopped_reason})
    if not one.finished_at:
        told.append(_("not finished"))
    return ", ".join(told)


def _look(one: Sighting, record: CaseRecord) -> list[str]:
    run = _("return run") if one.run == Run.RETURN else _("carrying run")
    belt = [one.get_load_display(), one.get_persistence_display() if one.persistence else ""]
    if one.is_running_backwards:
        belt.append(_("running backwards"))
    note = [one.note, _("beyond the edge clearance") if is_beyond(one, record.conveyor) else ""]
    return [
        one.station,
        f"{run}, {metres(one.position_m)}",
        loop_ribbon.seen_words(one, record.conveyor),
        ", ".join(str(part) for part in belt if part),
        "; ".join(part for part in note if part),
    ]
