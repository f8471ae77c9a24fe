"""Charts and files of the trend pages."""

import re
from datetime import date
from xml.etree import ElementTree

import pytest

from diagnostics import trend_charts
from diagnostics.recurrence import trend_tables
from diagnostics.recurrence.trend_tables import TrendEvent
from diagnostics.selectors.trends import Period
from diagnostics.trend_charts import MarkWords
from plant import charts, exports

MARKS = MarkWords(cases="cases", repeats="repeats", when="when", row="zone")
YEAR = Period(date(2026, 1, 1), date(2026, 12, 31))


def event(on: str, zone: str = "tail", family: str = "tail_pulley", *, repeat: bool = False):
    return TrendEvent(date.fromisoformat(on), zone, family, repeat)


def table_of(*events: TrendEvent) -> trend_tables.CountTable:
    zones = ["tail", "head"]
    return trend_tables.count_by_zone(events, date(2026, 1, 1), date(2026, 6, 30), zones)


def rows_of(table: trend_tables.CountTable, words: dict[str, str]):
    return trend_charts.marks_by_row(table, words, MARKS)


def test_a_chart_is_well_formed_and_shows_rows_counts_and_months() -> None:
    table = table_of(event("2026-02-01"), event("2026-02-09"), event("2026-04-01", "head"))

    svg = charts.chart_svg(rows_of(table, {"tail": "tail", "head": "head"}))

    texts = [one.text for one in ElementTree.fromstring(svg).iter() if one.tag.endswith("}text")]
    assert {"tail", "head", "2026-02", "2026-06", "2", "1"} <= set(texts)


def test_repeats_have_another_shape_and_are_said_in_amber() -> None:
    plain = rows_of(table_of(event("2026-02-01")), {"tail": "tail"})
    again = rows_of(table_of(event("2026-02-01", repeat=True)), {"tail": "tail"})

    assert charts.AMBER not in charts.chart_svg(plain)
    assert charts.AMBER in charts.chart_svg(again)
    shapes = {layer["mark"].get("shape") for layer in plain["layer"]}
    assert {"circle", "diamond"} <= shapes


def test_a_chart_breaks_no_content_security_policy_and_asks_no_other_host() -> None:
    spec = trend_charts.bars_over_time(
        trend_tables.count_all([event("2026-02-01")], YEAR.first, YEAR.last), MARKS
    )

    svg = charts.chart_svg(spec)

    assert not re.search(r"<style|style=|<script|<image|\son[a-z]+=", svg)
    assert set(re.findall(r"https?://[^\"' ]+", svg)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }


def test_markup_in_a_word_stays_a_word() -> None:
    table = table_of(event("2026-02-01"))

    svg = charts.chart_svg(rows_of(table, {"tail": "<script>x</script>"}))

    assert "<script" not in svg


def test_the_same_chart_is_drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    spec = rows_of(table_of(event("2026-05-05")), {"tail": "tail once"})
    first = charts.chart_svg(spec)
    monkeypatch.setattr(charts, "_draw", lambda _text: pytest.fail("drawn again"))

    assert charts.chart_svg(spec) == first


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "=cmd|' /C calc'!A0"])
def test_text_that_would_begin_a_formula_is_disarmed(text: str) -> None:
    assert exports.cell_of(text) == f"'{text}"


@pytest.mark.parametrize(
    ("value", "cell"), [(3, 3), (-2.5, -2.5), (None, ""), ("R12", "R12"), ("a=b", "a=b")]
)
def test_numbers_and_plain_text_stay_as_they_are(value: object, cell: object) -> None:
    assert exports.cell_of(value) == cell
