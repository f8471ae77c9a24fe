"""A month's report as PDF: two sheets at most, the first of which is read in two minutes.

Set from the figures alone: the same figures give the same bytes.
"""

from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from django.utils.text import Truncator
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from plant import typesetting
from plant.chart_view import ChartView
from workorders.month import Month
from workorders.month_report.figures import Figures
from workorders.month_report_shown import words
from workorders.month_report_shown.view import view_of

SHEET = Path(__file__).parents[1] / "sheets" / "monthly_report.typ"
# What a cell of the foot holds.
_CELL = 44


def pdf_of(told: Figures) -> bytes:
    """Raises plant.typesetting.TypesettingFailed."""
    as_of = datetime.fromisoformat(told.asked.as_of)
    return typesetting.pdf_of(SHEET, values_of(told), as_of)


def values_of(told: Figures) -> dict[str, Any]:
    """What `monthly_report.typ` sets."""
    view = view_of(told)
    return {
        "lang": (get_language() or "en").split("-")[0],
        "title": f"{told.asked.plant_code} {told.asked.month}",
        "maker": "Loopwright",
        "dateline": view.dateline,
        "heading": view.title,
        "headline": list(view.headline),
        "cells": [asdict(one) for one in view.cells],
        "lists": [asdict(one) for one in view.lists],
        "worst": asdict(view.worst),
        "to_do": asdict(view.to_do),
        "gaps": asdict(view.gaps),
        "charts": [_chart(one) for one in view.charts],
        "tables": [asdict(one) for one in view.tables],
        "read_heading": _("How to read it"),
        "how_to_read": list(view.how_to_read),
        "foot": _foot(told),
        "sheet_label": _("Sheet"),
        "sheet_words": _("{n} of {m}"),
    }


def _chart(chart: ChartView) -> dict[str, str]:
    alt = _("%(heading)s, as the tables say") % {"heading": chart.heading}
    return {
        "heading": chart.heading,
        "caption": chart.caption,
        "alt": alt,
        "svg": chart.print_svg,
    }


def _foot(told: Figures) -> list[list[str]]:
    cells = [
        (_("Plant"), told.asked.plant_name),
        (_("Month"), words.month_words(Month.read(told.asked.month))),
        (_("Recorded until"), words.read_at(told)),
        (_("Made by"), "Loopwright"),
    ]
    return [[name, Truncator(value).chars(_CELL)] for name, value in cells]
