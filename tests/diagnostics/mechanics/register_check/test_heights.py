"""Heights along the carrying run against the conveyor's own figures."""

import pytest

from diagnostics.mechanics.register_check.checking import check_register
from diagnostics.mechanics.register_check.findings import Check
from plant.loop.profile import profile_of
from tests.diagnostics.mechanics.register_check.checked import compared, figures_of

HEIGHTS = (Check.HEIGHTS_RISE, Check.HEIGHTS_END, Check.SLOPE)


def asked_of(points, lift_m=12.0):
    figures = figures_of(profile=profile_of(points), lift_m=lift_m)
    return {check for check in HEIGHTS if compared(figures, check).asks}


def head_m():
    return figures_of().loop.head_m


def test_heights_that_agree_are_asked_nothing():
    assert asked_of([(0, 3), (head_m() / 2, 3), (head_m(), 15)]) == set()


@pytest.mark.parametrize(
    ("last", "asks"),
    [
        (lambda head: (head, 18.0), {Check.HEIGHTS_RISE}),
        (lambda head: (head - 9, 15.0), {Check.HEIGHTS_END}),
    ],
)
def test_another_rise_or_end_is_asked_about(last, asks):
    assert asked_of([(0, 3), last(head_m())]) == asks


# sin 20 deg = 0.342: 34 m on 100 m of belt are 19.9 deg, 36 m are 21.1 deg.
@pytest.mark.parametrize(("rise_m", "asks"), [(34.0, False), (36.0, True), (-36.0, True)])
def test_a_stretch_too_steep_for_a_plain_belt_is_asked_about(rise_m, asks):
    points = [(0, 50), (100, 50 + rise_m), (head_m(), 62)]

    assert (Check.SLOPE in asked_of(points)) is asks


def test_without_heights_nothing_is_asked_of_them():
    checked = check_register(figures_of())

    found = {one.check for one in (*checked.asking, *checked.agreeing, *checked.unchecked)}
    assert found.isdisjoint(HEIGHTS)
