"""The table behind a chart, and words above it."""

from django.template.loader import render_to_string

from plant.chart_view import ChartView, Linked

_SPEC = {
    "data": {"values": [{"a": 1}]},
    "mark": "point",
    "encoding": {"x": {"field": "a", "type": "quantitative"}},
}


def shown(*row: str | int | None, lead: str = "") -> str:
    view = ChartView("x", "Cases", _SPEC, ["case", "days"], [row], lead=lead)
    return render_to_string("plant/parts/chart.html", {"chart": view})


def test_a_linked_cell_leads_to_its_page():
    text = shown(Linked("LT-C-1", "/cases/LT-C-1/"), 3)

    assert '<a href="/cases/LT-C-1/">LT-C-1</a>' in text


def test_an_address_in_a_cell_is_escaped():
    assert '"><script>' not in shown(Linked("x", '"><script>'), 3)


def test_a_figure_that_is_not_known_is_a_dash_and_naught_is_naught():
    assert ">–</td>" in shown("x", None)
    assert ">0</td>" in shown("x", 0)


def test_what_a_chart_comes_to_stands_above_it():
    text = shown("x", 1, lead="Half of all cases are at the tail.")

    assert text.index("Half of all cases") < text.index("<svg")
