"""The drawings have the signs right: read back from what is drawn, not from what is said."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from diagnostics import knowledge_files
from diagnostics.drawings.of_causes import drawing_of, has_own_drawing
from diagnostics.drawings.printed import svg_of
from diagnostics.drawings.sheet import HEIGHT, MIDDLE, WIDTH, Drawing, Ink
from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Side

DRAWN = list(knowledge_files.current().causes.values())
PLAN_VIEWS = [cause for cause in DRAWN if str(drawing_of(cause).view).startswith("Seen from above")]
TURNED = [
    cause
    for cause in PLAN_VIEWS
    if any(
        word in str(drawing_of(cause).tells) for word in ("Right-hand ends", "right-hand end of")
    )
]
Point = tuple[float, float]


def points(path: str) -> list[Point]:
    numbers = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def drawing(cause: Cause) -> Drawing:
    return drawing_of(cause)


def of_ink(cause: Cause, ink: Ink) -> list[list[Point]]:
    return [points(stroke.path) for stroke in drawing(cause).strokes if stroke.ink is ink]


def belt_centre(cause: Cause) -> list[Point]:
    left, right = of_ink(cause, Ink.BELT)
    return [(x, (y + z) / 2) for (x, y), (_x, z) in zip(left, right, strict=True)]


def local_travel(cause: Cause) -> int:
    """Which way the arrow points: +1 to the right of the sheet, toward the head."""
    start, tip = of_ink(cause, Ink.ARROW)[0][:2]
    return 1 if tip[0] > start[0] else -1


def test_every_cause_of_the_catalogue_has_a_drawing_of_its_own() -> None:
    assert [cause.slug for cause in DRAWN if not has_own_drawing(cause)] == []


def test_no_two_causes_are_drawn_or_told_alike() -> None:
    # What is drawn under the words is the same for a reader who cannot see it.
    told = [str(drawing(cause).tells) for cause in DRAWN]
    drawn = [drawing(cause).strokes for cause in DRAWN]

    assert len(set(told)) == len(DRAWN)
    assert len(set(drawn)) == len(DRAWN)


@pytest.mark.parametrize("cause_class", list(CauseClass))
def test_a_cause_a_plant_adds_is_shown_by_a_fault_of_its_class(cause_class: CauseClass) -> None:
    known = next(cause for cause in DRAWN if cause.cause_class is cause_class)
    added = replace(known, slug="of_our_own")

    shown = drawing_of(added)

    assert not has_own_drawing(added)
    assert shown in [drawing(cause) for cause in DRAWN if cause.cause_class is cause_class]


@pytest.mark.parametrize("cause", DRAWN, ids=lambda cause: cause.slug)
def test_a_drawing_stays_on_its_sheet_and_speaks(cause: Cause) -> None:
    for stroke in drawing(cause).strokes:
        for x, y in points(stroke.path):
            assert 0 <= x <= WIDTH
            assert 0 <= y <= HEIGHT
    assert any(stroke.ink is Ink.FAULT for stroke in drawing(cause).strokes)
    goes = drawing(cause).belt_goes
    if goes:
        assert goes in str(drawing(cause).tells)
    else:
        claims = r"(goes|runs|stands|turns|leans|settles) (further )?(to the )?(left|right)"
        assert not re.search(claims, str(drawing(cause).tells))


@pytest.mark.parametrize("cause", DRAWN, ids=lambda cause: cause.slug)
def test_a_drawing_for_paper_is_an_svg_with_the_same_lines(cause: Cause) -> None:
    root = ElementTree.fromstring(svg_of(drawing(cause)))

    lines = [path.attrib["d"] for path in root.iter("{http://www.w3.org/2000/svg}path")]
    assert lines == [stroke.path for stroke in drawing(cause).strokes]


@pytest.mark.parametrize(
    "cause",
    [one for one in PLAN_VIEWS if one.slug != "structure_bowed" and drawing(one).belt_goes],
    ids=lambda cause: cause.slug,
)
def test_the_belt_is_drawn_to_the_side_that_is_told(cause: Cause) -> None:
    furthest = max(belt_centre(cause), key=lambda point: abs(point[1] - MIDDLE))

    assert Side.of(furthest[1] - MIDDLE) is drawing(cause).belt_goes


@pytest.mark.parametrize("cause", TURNED, ids=lambda cause: cause.slug)
def test_the_belt_goes_to_the_end_of_a_roll_it_touches_first(cause: Cause) -> None:
    # US Army TM 5-3895-374-24-2, pages 620-621: sign(dy) = -sign(a), a the advance of the right
    # end over the left along the belt's local travel; the belt meets the tail running tailward.
    meets = -1 if cause.cause_class == "tail_pulley" else local_travel(cause)
    for left_end, right_end in of_ink(cause, Ink.FAULT):
        assert left_end[1] < right_end[1]
        advance = (right_end[0] - left_end[0]) * meets
        assert drawing(cause).belt_goes.sign == (-1 if advance > 0 else 1)


def test_return_idlers_are_drawn_with_the_belt_running_to_the_tail() -> None:
    causes = knowledge_files.current().causes

    assert local_travel(causes["return_idler_skewed"]) == -1
    assert local_travel(causes["carrying_idlers_skewed"]) == 1


def test_the_belt_stands_on_the_inside_of_a_bow() -> None:
    cause = knowledge_files.current().causes["structure_bowed"]
    rails = of_ink(cause, Ink.FAULT)
    # A quadratic curve passes half way between its control point and its chord.
    bow = sum((rail[0][1] + rail[1][1]) / 2 for rail in rails) / 2 - MIDDLE
    belt = belt_centre(cause)[12][1] - MIDDLE

    assert bow > belt
    assert Side.of(belt - bow) is drawing(cause).belt_goes


@pytest.mark.parametrize("slug", ["tail_pulley_build_up", "head_lagging_worn_one_side"])
def test_the_belt_goes_to_the_thick_end(slug: str) -> None:
    cause = knowledge_files.current().causes[slug]
    (a, b, c, d) = of_ink(cause, Ink.FAULT)[0]
    left_width, right_width = b[0] - a[0], c[0] - d[0]

    thick = Side.LEFT if left_width > right_width else Side.RIGHT
    assert thick is drawing(cause).belt_goes


def test_the_belt_goes_to_the_low_side() -> None:
    # US Army TM 5-3895-374-24-2, pages 620-621: sign(dy) = -sign(e).
    cause = knowledge_files.current().causes["tail_pulley_out_of_level"]
    left_end, right_end = of_ink(cause, Ink.FAULT)[0]
    low = Side.LEFT if left_end[1] > right_end[1] else Side.RIGHT
    belt = of_ink(cause, Ink.BELT)[0]

    assert low is drawing(cause).belt_goes
    assert Side.of(sum(x for x, _y in belt) / len(belt) - WIDTH / 2) is low


def test_the_belt_goes_to_the_lightly_loaded_edge() -> None:
    # US Army TM 5-3895-374-24-2, pages 620-621: sign(dy) = -sign(c).
    cause = knowledge_files.current().causes["off_centre_loading"]
    heap = of_ink(cause, Ink.FAULT)[0]
    belt = of_ink(cause, Ink.BELT)[0]
    edges = (belt[0][0] + belt[-1][0]) / 2 - WIDTH / 2

    assert heap[1][0] > WIDTH / 2
    assert Side.of(edges) is Side.LEFT is drawing(cause).belt_goes


@pytest.mark.parametrize(
    ("slug", "pull"),
    [("tail_pulley_bearing_failing", 1), ("head_pulley_bearing_failing", -1)],
)
def test_a_failing_bearing_yields_to_the_pull_and_the_belt_goes_there(slug: str, pull: int) -> None:
    # The tail's belt pulls it toward the head, the head's toward the tail; a tail pulley stands
    # to the side whose bearing is nearer the head (belt-mechanics, moment of a displaced bearing).
    cause = knowledge_files.current().causes[slug]
    bearing = of_ink(cause, Ink.FAULT)[0]
    sound = next(one for one in of_ink(cause, Ink.STEEL) if len(one) == 12)
    at_x, other_x = (sum(x for x, _y in ring) / 12 for ring in (bearing, sound))
    at_y = sum(y for _x, y in bearing) / 12

    assert (at_x - other_x) * pull > 0
    assert Side.of(at_y - MIDDLE) is drawing(cause).belt_goes


def test_a_plan_view_without_a_side_shows_the_belt_on_both() -> None:
    both = [one for one in PLAN_VIEWS if drawing(one).belt_goes is None]

    for cause in both:
        offsets = [y - MIDDLE for _x, y in belt_centre(cause)]
        assert min(offsets) < -2 < 2 < max(offsets)
    assert {cause.slug for cause in both} >= {"uneven_feed", "wet_rolls", "frozen_rolls"}
