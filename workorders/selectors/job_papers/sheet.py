"""What a job sheet and a pack share: the foot, the code, the values around the papers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.text import Truncator
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from diagnostics.selectors.case_report.blocks import Block
from plant.labels.codes import code_svg
from plant.models import Plant, User
from plant.templatetags.sheet import plant_time

# What a cell of the foot holds; the facts above say it in full.
_CELL = 44


@dataclass(frozen=True)
class Printing:
    """Who prints and when; `absolute` puts scheme and host before a path."""

    reader: User
    now: datetime
    absolute: Callable[[str], str]

    def foot(self, cells: Sequence[tuple[str, str]], plant: Plant) -> list[list[str]]:
        printed = (_("Printed"), f"{plant_time(self.now, plant)}, {self.reader}")
        return [[name, Truncator(value).chars(_CELL)] for name, value in (*cells, printed)]


def paper(
    *,
    heading: str,
    dateline: Sequence[str],
    address: str,
    sections: Sequence[Block | None],
    foot: list[list[str]],
) -> dict[str, Any]:
    """One paper of a file: it begins a page and counts its own pages."""
    return {
        "heading": heading,
        "dateline": " · ".join(one for one in dateline if one),
        "address": address,
        "code": code_svg(address),
        "sections": [one for one in sections if one and one["blocks"]],
        "foot": foot,
    }


def sheet_values(title: str, papers: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What `job_sheets.typ` sets."""
    return {
        "lang": (get_language() or "en").split("-")[0],
        "title": title,
        "maker": "Loopwright",
        "papers": list(papers),
        "sheet_label": _("Sheet"),
        "sheet_words": _("{n} of {m}"),
        "pack_words": _("{n} of {m}; {p} of {q} in the pack") if len(papers) > 1 else "",
    }
