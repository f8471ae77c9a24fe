"""The drawing as it comes on a page: sound markup, in words, safe, readable without colour."""

import re
from typing import Any
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string

from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Conveyor
from plant.selectors.drawing import Mark, RibbonPoint, loop_drawing
from plant.selectors.loops import loop_of
from tests.plant.factories import make_complete_conveyor, make_component, make_conveyor

pytestmark = pytest.mark.django_db
SVG = "{http://www.w3.org/2000/svg}"


def rendered(drawing: dict[str, Any]) -> str:
    return render_to_string("plant/parts/loop.html", {"drawing": drawing})


def svgs(html: str) -> list[ElementTree.Element]:
    return [
        ElementTree.fromstring(one.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1))
        for one in re.findall(r"<svg.*?</svg>", html, flags=re.DOTALL)
    ]


def full(conveyor: Conveyor) -> str:
    ribbon = [RibbonPoint(12, 0.9, "R 90 mm", "#sighting-1"), RibbonPoint(150, -0.4, "L 40 mm")]
    marks = [Mark(12, "onset", "C5"), Mark(100, "suspected", "Head pulley", "#hypothesis-1")]
    return rendered(loop_drawing(conveyor, ribbon, marks, part_href=lambda name: f"#{name}"))


def test_every_layout_is_sound_markup_with_words_for_who_cannot_see_it():
    conveyor = make_complete_conveyor(tag="Q30")

    drawn = svgs(full(conveyor))

    loops = [one for one in drawn if one.find(f"{SVG}desc") is not None]
    assert [one.get("class") for one in loops] == ["loop wide", "loop middle", "loop narrow"]
    for one in loops:
        assert "Q30" in one.get("aria-label")
        assert "209" in one.find(f"{SVG}desc").text or "210" in one.find(f"{SVG}desc").text
        _left, _top, width, height = map(float, one.get("viewBox").split())
        assert width > 300
        assert 60 < height < width


def test_what_can_be_gone_to_is_a_link_with_a_name():
    html = full(make_complete_conveyor())

    links = [one for svg in svgs(html) for one in svg.iter(f"{SVG}a")]

    targets = {one.get("href") for one in links}
    assert {"#sighting-1", "#hypothesis-1", "#Head pulley"} <= targets
    assert all(one.get("aria-label") and one.find(f"{SVG}title") is not None for one in links)


def test_nothing_in_the_markup_needs_a_looser_policy():
    html = full(make_complete_conveyor())

    assert not re.search(r"\sstyle=|<style|<script|\son[a-z]+=", html)


def test_names_of_parts_and_labels_are_escaped():
    conveyor = make_complete_conveyor(name="<b>bold</b>")
    conveyor.components.filter(name="Head pulley").update(name='"><script>')
    marks = [Mark(3, "case", "<i>&", '"><x')]

    html = rendered(loop_drawing(conveyor, marks=marks))

    assert "<script>" not in html
    assert "<b>" not in html
    assert "<i>" not in html
    assert "<x" not in html
    assert svgs(html)


def test_sides_and_clearance_are_told_in_words_beside_the_ribbon():
    html = full(make_complete_conveyor())

    assert "Outside the loop is right, inside is left" in html
    assert "first place off centre" in html
    assert "suspected place" in html
    assert "open case" not in html
    assert "R 90 mm" in html


def test_an_incomplete_loop_is_told_in_words():
    html = rendered(loop_drawing(make_conveyor()))

    assert "The loop cannot be drawn yet." in html
    assert "The head pulley and the tail pulley are missing." in html
    assert "<svg" not in html


def test_a_loop_that_was_built_already_is_not_read_again(django_assert_num_queries):
    conveyor = make_complete_conveyor()
    loop = loop_of(conveyor)

    with django_assert_num_queries(0):
        assert loop_drawing(conveyor, loop=loop)["figures"]
    with django_assert_num_queries(1):
        loop_drawing(conveyor)


def test_pulleys_whose_angles_do_not_close_the_loop_are_told_in_the_title_block():
    conveyor = make_complete_conveyor()
    make_component(
        conveyor, "Snub", ComponentKind.SNUB_PULLEY, Run.RETURN, "102", diameter_mm=300, wrap_deg=70
    )

    assert "pulley angles not known" in rendered(loop_drawing(conveyor))
