"""The drawings have the signs right: read back from what is drawn, not from what is said."""

import re

import pytest

from diagnostics import knowledge_files
from diagnostics.drawing_sheet import HEIGHT, MIDDLE, WIDTH, Drawing, Ink
from diagnostics.drawings import drawing_of
from diagnostics.inference.causes import Cause
from plant.loop.vocabulary import Side

DRAWN = [cause for cause in knowledge_files.current().causes.values() if drawing_of(cause)]
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
    found = drawing_of(cause)
    assert found is not None
    return found


def of_ink(cause: Cause, ink: Ink) -> list[list[Point]]:
    return [points(stroke.path) for stroke in drawing(cause).strokes if stroke.ink is ink]


def belt_centre(cause: Cause) -> list[Point]:
    left, right = of_ink(cause, Ink.BELT)
    return [(x, (y + z) / 2) for (x, y), (_x, z) in zip(left, right, strict=True)]


def local_travel(cause: Cause) -> int:
    """Which way the arrow points: +1 to the right of the sheet, toward the head."""
    start, tip = of_ink(cause, Ink.ARROW)[0][:2]
    return 1 if tip[0] > start[0] else -1


def test_every_class_but_frost_and_feed_has_drawings() -> None:
    assert len(DRAWN) >= 35
    assert len({cause.cause_class for cause in DRAWN}) == 10


@pytest.mark.parametrize("cause", DRAWN, ids=lambda cause: cause.slug)
def test_a_drawing_stays_on_its_sheet_and_speaks(cause: Cause) -> None:
    for stroke in drawing(cause).strokes:
        for x, y in points(stroke.path):
            assert 0 <= x <= WIDTH
            assert 0 <= y <= HEIGHT
    assert drawing(cause).belt_goes in str(drawing(cause).tells)
    assert any(stroke.ink is Ink.FAULT for stroke in drawing(cause).strokes)


@pytest.mark.parametrize(
    "cause",
    [one for one in PLAN_VIEWS if one.slug != "structure_bowed"],
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


def test_frost_has_no_drawing() -> None:
    assert drawing_of(knowledge_files.current().causes["frozen_rolls"]) is None
