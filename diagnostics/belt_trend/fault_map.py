"""In which zone and which month the cases of a belt were: a number in every cell that has one."""

from typing import Any

from django.utils.translation import gettext as _

from diagnostics.belt_trend import row_charts
from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.belt_trend.words import nothing_words
from diagnostics.recurrence import trend_tables
from diagnostics.recurrence.trend_tables import Cell, CountTable, TrendEvent
from diagnostics.selectors.belt_faults import BeltStudy
from diagnostics.trend_charts import stretch_labels
from plant.chart_specs import AMBER, INK, told
from plant.chart_view import ChartView
from plant.loop.vocabulary import Zone

_STEP, _HIGH = 32, 25
# The darkest ground still leaves ink on it legible (above 4.5 to 1 by day and by night).
_LIGHTEST, _DARKEST = 0.08, 0.34


def build(study: BeltStudy) -> BuiltPart:
    heading = _("Which zone, which month")
    table = _table(study)
    if not table.rows:
        return BuiltPart(heading, header=_header(table), missing=nothing_words())
    chart = ChartView(
        slug="zones",
        heading=heading,
        lead=_lead(table),
        spec=_spec(table),
        header=_header(table),
        rows=[_row(table, zone) for zone in table.rows],
        caption=_(
            "The number counts cases; the more there are, the darker the ground. A thick frame has "
            "repeats among them. In the table, repeats stand in brackets."
        ),
        file_address=study.file_address("zones"),
    )
    return BuiltPart(heading, chart=chart)


def _table(study: BeltStudy) -> CountTable:
    events = [
        TrendEvent(fault.on, fault.zone, fault.family, fault.is_repeat) for fault in study.faults
    ]
    zones = [zone.value for zone in Zone]
    return trend_tables.count_by_zone(events, study.period.first, study.last_on, zones)


def _lead(table: CountTable) -> str:
    known = {zone: table.total_of(zone) for zone in table.rows if zone}
    if not known:
        return _("Of none of these cases is the zone known yet: no cause is confirmed.")
    most = max(known, key=lambda zone: known[zone].cases)
    months = sum(cell.cases > 0 for cell in table.rows[most])
    return _("Most cases: %(zone)s, %(cases)s in %(stretches)s of %(all)s %(grain)s.") % {
        "zone": _(most),
        "cases": known[most].cases,
        "stretches": months,
        "all": len(table.stretches),
        "grain": _grain_words(table),
    }


def _grain_words(table: CountTable) -> str:
    return {"month": _("months"), "quarter": _("quarters"), "year": _("years")}[table.grain.value]


def _words(zone: str) -> str:
    return _(zone) if zone else _("not known yet")


def _header(table: CountTable) -> list[str]:
    return [_("zone"), *stretch_labels(table), _("all")]


def _row(table: CountTable, zone: str) -> list[str]:
    return [_words(zone), *map(_cell_words, table.rows[zone]), _cell_words(table.total_of(zone))]


def _cell_words(cell: Cell) -> str:
    return f"{cell.cases} ({cell.repeats})" if cell.repeats else str(cell.cases)


def _spec(table: CountTable) -> dict[str, Any]:
    labels = stretch_labels(table)
    most = max(cell.cases for cells in table.rows.values() for cell in cells)
    values = [
        {
            "row": _words(zone),
            "when": label,
            "cases": cell.cases,
            "repeats": cell.repeats,
            "ground": _LIGHTEST + (_DARKEST - _LIGHTEST) * cell.cases / most,
        }
        for zone, cells in table.rows.items()
        for label, cell in zip(labels, cells, strict=True)
        if cell.cases
    ]
    again = [one for one in values if one["repeats"]]
    rows = [_words(zone) for zone in table.rows]
    when = {
        "field": "when",
        "type": "ordinal",
        "sort": None,
        "scale": {"domain": labels, "padding": 0.04},
        "axis": {"title": None, "labelAngle": -60, "grid": False},
    }
    cell = {"type": "rect", "height": _HIGH}
    opacity = {"field": "ground", "type": "quantitative", "scale": None}
    frame = {**cell, "fillOpacity": 0, "stroke": AMBER, "strokeWidth": 3}
    tooltip = told(
        ("row", _("zone")),
        ("when", _("when")),
        ("cases", _("cases"), "d"),
        ("repeats", _("repeats"), "d"),
    )
    number = {"field": "cases", "type": "quantitative"}
    return {
        "$schema": row_charts.SCHEMA,
        "data": {"values": values},
        "width": {"step": _STEP},
        "height": {"step": row_charts.ROW_STEP},
        "encoding": {"y": row_charts.row_axis(rows)},
        "layer": [
            row_charts.heads(rows, _STEP * len(labels)),
            {
                "mark": {**cell, "fill": INK},
                "encoding": {"x": when, "fillOpacity": opacity, "tooltip": tooltip},
            },
            {
                "data": {"values": again},
                "mark": {**frame, "tooltip": None},
                "encoding": {"x": when},
            },
            {
                "mark": {"type": "text", "fontWeight": "bold"},
                "encoding": {"x": when, "text": number},
            },
        ],
    }
