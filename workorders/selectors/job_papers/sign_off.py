"""What is written and signed at the belt: locks, shifts made, measured values, time, names."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from plant.models import Conveyor
from workorders.selectors.job_papers import forms
from workorders.selectors.job_papers.rows import JobRecord

# Rows to write in; engineering judgement of what one job fills.
_SHIFTS, _VALUES, _TIMES, _REMARKS = 4, 4, 3, 4
_POINTS_UNKNOWN = 3


def isolation(record: JobRecord) -> Block:
    heading = _("Isolation")
    if not record.order.needs_isolation:
        said = _("By its work method this is done while the belt runs, from outside the guards.")
        return blocks.section(heading, blocks.text(said))
    return blocks.section(
        heading,
        blocks.text(
            _("The conveyor is isolated, locked and tried before work begins."), strong=True
        ),
        *points(record.conveyor),
    )


def points(conveyor: Conveyor) -> Iterator[Block]:
    """The points of the register with room for who locked them; room alone where it names none."""
    known = conveyor.isolation_points
    if not known:
        yield forms.boxed(
            _("The register names no isolation points: ask the licensed person, write them here.")
        )
    columns = (
        _("No."),
        _("Isolation point"),
        _("Lock, put on by, time"),
        _("Tried by, time"),
        _("Lock off, time"),
    )
    rows: Sequence[tuple[object, ...]] = [
        (number, words, "", "", "")
        for number, words in enumerate(known or [""] * _POINTS_UNKNOWN, start=1)
    ]
    yield forms.form(columns, (0.5, 3.6, 2.2, 1.5, 1.5), rows, tall_mm=8)


def to_write(record: JobRecord) -> list[Block]:
    needs_lock = record.order.needs_isolation
    return [
        blocks.section(
            _("Shifts made"),
            blocks.lead(_("Every shift of a roll, frame or bearing, so that it can be undone.")),
            forms.blank_rows(
                (_("Where"), _("What was moved"), _("Which end"), "mm", _("Which way"), _("By")),
                (1.6, 2, 1.3, 0.7, 1.6, 1.2),
                _SHIFTS,
            ),
        ),
        blocks.section(
            _("Measured values"),
            forms.blank_rows(
                (_("What"), _("Where"), _("Before"), _("After"), _("Unit")),
                (2, 2, 1, 1, 0.8),
                _VALUES,
            ),
        ),
        blocks.section(
            _("Time"),
            forms.blank_rows(
                (_("Who"), _("Day"), _("From"), _("To"), _("Hours")), (3, 1.3, 1, 1, 1), _TIMES
            ),
        ),
        blocks.section(_("Remarks"), forms.lines(_REMARKS)),
        blocks.section(_("Signed"), _signatures(needs_lock=needs_lock)),
    ]


def _signatures(*, needs_lock: bool) -> Block:
    locked = [_("Isolated, locked and tried")] if needs_lock else []
    unlocked = [_("Guards back, isolation removed")] if needs_lock else [_("Guards back")]
    said = [*locked, _("Work done"), *unlocked, _("Proof run watched")]
    columns = ("", _("Name"), _("Signature"), _("Day, time"))
    return forms.form(columns, (2, 2, 2, 1.4), [(one, "", "", "") for one in said], tall_mm=9)
