"""A chart on a page, in a file and on paper: one specification, one table, fitting colours."""

import json
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from django.http import Http404
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.utils import translation

from plant import chart_files, chart_specs, typesetting
from plant.chart_specs import AMBER, BLUE, INK, PAPER
from plant.chart_view import CellShown, ChartView, Linked
from tests import pdf_reader

AT = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
_SHEET = """
#let d = json(bytes(sys.inputs.data))
#set document(title: "t", date: auto)
#set text(font: "Libertinus Serif")
#image(bytes(d.svg), format: "svg", alt: d.heading, width: 100%)
"""


def spec(**more: Any) -> dict[str, Any]:
    values = [
        {"at": 0, "mm": 4, "where": "tail"},
        {"at": 10, "mm": -7, "where": "var(--amber) idlers"},
    ]
    return {
        "$schema": chart_specs.SCHEMA,
        "data": {"values": values},
        "width": 300,
        "height": 120,
        "layer": [
            {
                "mark": {"type": "point", "stroke": BLUE, "fill": PAPER},
                "encoding": {"tooltip": chart_specs.told(("where", "place"), ("mm", "off", "d"))},
            },
            {
                "mark": {"type": "text", "color": AMBER},
                "encoding": {"text": {"field": "where"}},
            },
        ],
        "encoding": {
            "x": {"field": "at", "type": "quantitative", "axis": {"title": "loop position [m]"}},
            "y": {"field": "mm", "type": "quantitative"},
        },
        **more,
    }


def chart(**more: Any) -> ChartView:
    rows = [["tail", 4, None], ["head", -7.25, "=1+1"]]
    return ChartView("offsets", "Offsets", spec(), ["place", "mm", "note"], rows, **more)


def shown(one: ChartView) -> str:
    request = RequestFactory().get("/")
    return render_to_string("plant/parts/chart.html", {"chart": one}, request)


def test_paper_gets_inks_and_the_letters_of_the_sheet_and_no_word_of_the_page() -> None:
    svg = chart().print_svg

    texts = [one.text for one in ElementTree.fromstring(svg).iter() if one.tag.endswith("}text")]
    assert "currentColor" not in svg
    assert "var(--amber) idlers" in texts
    assert "var(--" not in svg.replace("var(--amber) idlers", "")
    assert set(re.findall(r'font-family="([^"]*)"', svg)) == {"Libertinus Serif"}
    assert "#114f8f" in svg


def test_a_sheet_holds_the_chart_with_its_words_as_letters(tmp_path: Path) -> None:
    sheet = tmp_path / "sheets" / "sheet.typ"
    sheet.parent.mkdir()
    sheet.write_text(_SHEET)

    pdf = typesetting.pdf_of(sheet, chart().for_sheet(), AT)

    words = pdf_reader.words_of(pdf)
    assert "loop position [m]" in words
    assert "tail" in words


def test_the_page_has_picture_table_file_and_what_explores_it() -> None:
    page = shown(chart(file_address="/there.csv", caption="Dots: as measured."))

    assert "<svg" in page
    assert INK in page
    assert '<th scope="row">tail</th><td class="number" data-of="mm">4</td>' in page
    assert "-7.25" in page
    assert 'href="/there.csv"' in page
    assert "Dots: as measured." in page
    found = re.search(r'<script type="application/json">(.*?)</script>', page, re.DOTALL)
    assert found
    assert json.loads(found[1])["data"] == spec()["data"]


def test_a_page_of_many_charts_loads_their_program_once() -> None:
    request = RequestFactory().get("/")
    both = [render_to_string("plant/parts/chart.html", {"chart": chart()}, request) for _ in "ab"]

    assert "".join(both).count("plant/charts/charts.js") == 1


def test_markup_among_the_data_ends_no_script() -> None:
    data = {"values": [{"at": 1, "mm": 1, "where": "</script><script>alert(1)</script>"}]}
    one = ChartView("x", "X", spec(data=data), ["a"], [["</td><script>"]])

    page = shown(one)

    assert "<script>" not in page


def test_two_drawings_where_one_is_for_telephones() -> None:
    page = shown(chart(narrow_spec=spec(width=200)))

    assert 'class="chart wide"' in page
    assert 'class="chart narrow"' in page


def test_only_a_chart_that_zooms_offers_it() -> None:
    still, near = shown(chart()), shown(chart(zooms=True))

    assert 'data-do="nearer"' not in still
    assert 'data-do="nearer"' in near
    assert '"bind": "scales"' in near


@pytest.mark.parametrize(
    ("figure", "words"),
    [(0.1234, "0.123"), (0.00012345, "0.000123"), (12.0, "12"), (0.0, "0"), (1500, "1,500"),
     (float("nan"), "\N{EN DASH}"), (float("inf"), "\N{EN DASH}"), (None, "\N{EN DASH}")],
)  # fmt: skip
def test_figures_of_the_table_are_rounded_and_never_to_nothing(
    figure: float | None, words: str
) -> None:
    one = ChartView("x", "X", spec(), ["a", "b"], [["row", figure]])

    assert one.first_rows == [[CellShown("row", is_number=False), CellShown(words, is_number=True)]]


def test_a_chart_its_table_and_no_file_speak_the_readers_numbers() -> None:
    """German decimals and thousands as DIN 1333 and CLDR have them; machines read the file."""
    values = [{"at": 0.5, "hours": 1500}, {"at": 1.5, "hours": 12000}]
    axes = {"x": {"field": "at"}, "y": {"field": "hours"}}
    encoding = {name: {**one, "type": "quantitative"} for name, one in axes.items()}
    drawn = {"data": {"values": values}, "mark": "point", "encoding": encoding}
    one = ChartView("x", "X", drawn, ["at", "hours"], [[0.5, 12000]])

    with translation.override("de"):
        german, explored = str(one.svg), next(iter(one.drawn())).spec
        cells = [cell.words for cell in one.first_rows[0]]
    english = str(one.svg)

    assert ">0,2<" in german
    assert ">2.000<" in german
    assert explored["config"]["locale"]["number"]["decimal"] == ","
    assert cells == ["0,5", "12.000"]
    assert ">0.2<" in english
    assert ">2,000<" in english
    assert "0.5,12000" in one.file().content.decode()


def test_of_lines_alone_the_places_they_pass_are_told() -> None:
    line = {"mark": "line", "encoding": spec()["encoding"]}

    alone = chart_specs.explored({"layer": [line]}, zooms=False)
    beside_marks = chart_specs.explored(spec(layer=[line, *spec()["layer"]]), zooms=False)

    assert alone["config"]["line"]["point"]["opacity"] == 0
    assert alone["layer"][0]["encoding"]["x"]["title"] == "loop position [m]"
    assert "line" not in beside_marks["config"]


def test_a_long_table_says_what_its_file_has_more() -> None:
    one = ChartView("x", "X", spec(), ["a"], [[f"row {n}"] for n in range(203)])

    page = shown(one)

    assert page.count('<th scope="row">') == 200
    assert "3 more rows stand in the file." in page


def test_a_table_is_taken_away_under_the_address_of_its_page() -> None:
    request = RequestFactory().get("/belts/?from=2026-01-01")
    (one,) = chart_files.with_files(request, [chart()])

    assert one.file_address == "/belts/?from=2026-01-01&table=offsets"
    assert chart_files.file_asked(request, [one]) is None
    answer = chart_files.file_asked(RequestFactory().get(one.file_address), [one])
    assert answer is not None
    lines = answer.content.decode("utf-8-sig").splitlines()
    assert lines == ["place,mm,note", "tail,4,", "head,-7.25,'=1+1"]


def test_a_table_nobody_shows_is_not_found() -> None:
    with pytest.raises(Http404):
        chart_files.file_asked(RequestFactory().get("/belts/?table=other"), [chart()])


def shown_row(*row: str | int | None, lead: str = "") -> str:
    view = ChartView("x", "Cases", spec(), ["case", "days"], [row], lead=lead)
    return shown(view)


def test_a_linked_cell_leads_to_its_page():
    text = shown_row(Linked("LT-C-1", "/cases/LT-C-1/"), 3)

    assert '<a href="/cases/LT-C-1/">LT-C-1</a>' in text


def test_an_address_in_a_cell_is_escaped():
    assert '"><script>' not in shown_row(Linked("x", '"><script>'), 3)


def test_a_figure_that_is_not_known_is_a_dash_and_naught_is_naught():
    assert ">–</td>" in shown_row("x", None)
    assert ">0</td>" in shown_row("x", 0)


def test_what_a_chart_comes_to_stands_above_it():
    text = shown_row("x", 1, lead="Half of all cases are at the tail.")

    assert text.index("Half of all cases") < text.index("<svg")
