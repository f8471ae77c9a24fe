"""Tools and parts of a job: what to take along, and where it is."""

from django.utils.translation import gettext as _

from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from workorders.models import OrderPart
from workorders.part_words import amount_words
from workorders.selectors.job_papers import forms
from workorders.selectors.job_papers.rows import JobRecord

_WIDTHS = (1.3, 3, 1, 1, 2.4)


def materials(record: JobRecord) -> Block | None:
    order = record.order
    parts: list[Block | None] = []
    if order.tools:
        parts += [blocks.lead(_("Tools")), forms.ticked(order.tools)]
    if order.parts:
        parts += [blocks.lead(_("Parts, by the work method")), forms.ticked(order.parts)]
    if record.parts:
        parts += [blocks.lead(_("Parts, by the catalogue")), _lines(record)]
    return blocks.section(_("To take along"), *parts) if parts else None


def _lines(record: JobRecord) -> Block:
    where = {one.line.pk: one.words for one in record.supply.lines}
    columns = (_("Number"), _("Part"), _("Needed"), _("Used"), _("Where"))
    rows = [_row(line, where) for line in record.parts]
    return forms.form(columns, _WIDTHS, rows, ticks=[False] * len(rows))


def _row(line: OrderPart, where: dict[int, str]) -> tuple[str, ...]:
    wants = line.pk in where
    return (
        line.part.number,
        line.part.name,
        amount_words(line.amount, line.part),
        amount_words(line.used, line.part) if line.used else "",
        (where[line.pk] or _("on hand")) if wants else "",
    )
