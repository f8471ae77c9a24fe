"""The due list as a table to take away."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.utils.translation import gettext as _

from workorders.life_subjects import RENEWED_WORDS, Renewed
from workorders.selectors.due_list import DueRow
from workorders.wear_words import day_words


def header() -> list[str]:
    return [
        _("plant"),
        _("conveyor"),
        _("where"),
        _("what"),
        _("how many"),
        _("due"),
        _("earliest"),
        _("latest"),
        _("reason"),
        _("why"),
        _("order"),
    ]


def table_of(rows: Iterable[DueRow]) -> Iterator[list[Any]]:
    for row in rows:
        item = row.item
        yield [
            item.conveyor.plant.code,
            item.conveyor.tag,
            row.where,
            str(RENEWED_WORDS[Renewed(item.what)]),
            item.count,
            day_words(item.due_on),
            day_words(item.due_from),
            day_words(item.due_until),
            item.get_reason_display(),
            row.why,
            row.order.number if row.order else "",
        ]
