"""The drawing for paper: the shapes of the page, in ink, and nothing a typesetter cannot read."""

import re
from xml.etree import ElementTree

import pytest

from plant.selectors.drawing import Mark, RibbonPoint, loop_drawing
from plant.selectors.printed_drawing import printed_drawing
from tests.diagnostics.factories import make_bare_conveyor, make_conveyor

pytestmark = pytest.mark.django_db


def drawn(name: str = "R9") -> tuple[dict, str]:
    points = [RibbonPoint(70, 0.0, "R3"), RibbonPoint(88, 0.6, "R9"), RibbonPoint(94, 0.9, "R11")]
    marks = [Mark(88, "onset", name), Mark(94, "suspected", "R11")]
    drawing = loop_drawing(make_conveyor(), points, marks)
    return drawing, printed_drawing(drawing)


def test_every_shape_of_the_page_is_printed():
    drawing, svg = drawn()

    figure = next(one for one in drawing["figures"] if one.name == "middle")
    root = ElementTree.fromstring(svg)
    printed = [
        one for one in root.iter() if one.tag.rpartition("}")[2] in {"path", "circle", "text"}
    ]
    assert len(printed) == sum(len(place.shapes) for place in figure.places)
    assert root.get("viewBox") == figure.window


def test_grounds_for_fingers_are_not_printed():
    drawing = loop_drawing(make_conveyor(), part_href=lambda name: f"#{name}")
    svg = printed_drawing(drawing)

    figure = next(one for one in drawing["figures"] if one.name == "middle")
    shapes = [shape for place in figure.places for shape in place.shapes]
    assert any(shape.look == "touch" for shape in shapes)
    assert "touch" not in svg.split("</style>")[1]


def test_style_is_plain_ink_without_pointers():
    _drawing, svg = drawn()

    assert "var(" not in svg
    assert ":hover" not in svg
    assert "inherit" not in svg
    assert "svg.loop .belt" in svg


def test_every_look_of_a_shape_that_the_page_styles_is_styled():
    _drawing, svg = drawn()
    style, looks = svg.split("</style>")

    used = {look for looked in re.findall(r'class="([^"]+)"', looks) for look in looked.split()}
    assert {"ribbon", "ribbon-edge", "pin-head", "belt", "pulley", "pinned-onset"} <= used
    for look in ("ribbon", "ribbon-edge", "ribbon-beyond", "pin-head", "belt", "pinned-onset"):
        assert re.search(rf"svg\.loop \.{look}[ ,{{]", style)


def test_words_in_the_drawing_are_no_markup():
    _drawing, svg = drawn('<b>&"R9"')

    assert "&lt;b&gt;&amp;" in svg


def test_loop_that_cannot_be_drawn_prints_nothing():
    assert printed_drawing(loop_drawing(make_bare_conveyor())) == ""
