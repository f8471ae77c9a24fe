"""The chart of the tension along the loop: what is drawn, and in which stroke."""

from dataclasses import replace
from typing import Any

import pytest

from diagnostics import register_check_charts as check_charts
from diagnostics.mechanics.register_check.figures import Figures, Readings
from diagnostics.mechanics.register_check.tension_checks import tensions
from plant import charts
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind
from tests.diagnostics.mechanics.register_check.checked import figures_of, parts_of

WORDS = check_charts.ChartWords("loop position [m]", "tension [kN]", "place", "empty", "loaded")


def spec(figures: Figures) -> dict[str, Any]:
    return check_charts.tension_chart(tensions(figures), WORDS, width=268)


def layers(figures: Figures, mark: str) -> list[dict[str, Any]]:
    return [one for one in spec(figures)["layer"] if one["mark"]["type"] == mark]


def test_the_loaded_belt_is_a_full_line_and_the_empty_one_is_broken():
    empty, loaded = layers(figures_of(), "line")

    assert empty["mark"]["strokeDash"] != loaded["mark"]["strokeDash"]
    most = [max(point["kn"] for point in one["data"]["values"]) for one in (empty, loaded)]
    assert most[0] < most[1]


def test_without_a_capacity_only_the_empty_belt_is_drawn():
    assert len(layers(figures_of(capacity_tph=None), "line")) == 1


def test_the_line_begins_and_ends_at_the_tail_with_one_tension():
    for one in layers(figures_of(), "line"):
        first, last = one["data"]["values"][0], one["data"]["values"][-1]
        assert first["at"] == 0
        assert last["at"] == pytest.approx(figures_of().loop.length_m, abs=0.001)
        assert first["kn"] == pytest.approx(last["kn"], abs=0.002)


def test_amber_is_used_only_where_the_belt_sags_too_far():
    tight = figures_of()
    slack = replace(tight, take_up_tension_n=1000.0, readings=Readings())

    assert charts.AMBER not in charts.chart_svg(spec(tight))
    assert charts.AMBER in charts.chart_svg(spec(slack))


def test_names_are_drawn_as_text_each_in_its_own_row():
    parts = tuple(
        replace(part, name="<b>H") if part.kind is ComponentKind.HEAD_PULLEY else part
        for part in parts_of()
    )
    figures = figures_of(parts)

    named: list[Part] = [part for part in parts if part.name in ("<b>H", "TAKE-UP")]
    texts = layers(figures, "text")

    assert [one["data"]["values"][0]["name"] for one in texts] == [one.name for one in named]
    assert len({one["encoding"]["y"]["value"] for one in texts}) == len(named)
    svg = charts.chart_svg(spec(figures))
    assert "<b>H" not in svg
    assert "&lt;b&gt;H" in svg
