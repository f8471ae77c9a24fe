"""What a place of the register takes of a part."""

from decimal import Decimal
from typing import Any

import pytest

from plant.loop.rolls import RollPlace
from workorders.planning.part_places import BELT, CountedBy, Figure, Fit, Place, Use, fit_of

TROUGHING = "troughing_idlers"
THREE = (RollPlace.LEFT_WING, RollPlace.CENTRE, RollPlace.RIGHT_WING)
Q30 = Place(TROUGHING, 30, "C1-", sets=120, rolls=THREE, belt_width_mm=1600.0)


def fit(place: Place, **use: Any) -> Fit | None:
    return fit_of([Use(**{"on": place.on, **use})], place)


@pytest.mark.parametrize(
    ("by", "amount", "rolls"),
    [
        (CountedBy.ROLL, 360, THREE),
        (CountedBy.WING_ROLL, 240, (RollPlace.LEFT_WING, RollPlace.RIGHT_WING)),
        (CountedBy.CENTRE_ROLL, 120, (RollPlace.CENTRE,)),
        (CountedBy.ONE, 120, ()),
    ],
)
def test_a_group_takes_as_many_as_it_has_of_what_is_counted(
    by: CountedBy, amount: int, rolls: tuple[RollPlace, ...]
):
    assert fit(Q30, by=by) == Fit(Decimal(amount), rolls)


def test_two_bearings_a_roll_are_twice_as_many():
    found = fit(Q30, by=CountedBy.ROLL, each=Decimal(2))

    assert found is not None
    assert found.amount == 720


def test_metres_go_by_the_length_of_the_place():
    skirt = Place("skirtboard", 30, "SKIRT", length_m=5.4)

    assert fit(skirt, by=CountedBy.METRE, each=Decimal(2)) == Fit(Decimal("10.80"))
    assert fit(Place("skirtboard", 30), by=CountedBy.METRE) == Fit(None)


@pytest.mark.parametrize(
    "other",
    [
        {"on": "return_idlers"},
        {"conveyor": 31},
        {"name": "C2-"},
        {"belt_width_mm": 1400.0},
    ],
    ids=str,
)
def test_a_place_that_is_another_takes_none(other: dict[str, Any]):
    assert fit(Q30, by=CountedBy.ROLL, **other) is None


def test_names_match_whatever_the_case_and_widths_to_the_millimetre():
    assert fit(Q30, name="c1-", conveyor=30, belt_width_mm=1600.4) is not None


def test_a_figure_the_register_does_not_know_is_told_not_guessed():
    found = fit(Q30, by=CountedBy.ROLL, belt_width_mm=1600.0, diameter_mm=159.0)

    assert found is not None
    assert found.unknown == (Figure.DIAMETER,)


def test_a_flat_set_has_no_wing_roll():
    flat = Place("return_idlers", 30, sets=20, rolls=(RollPlace.CENTRE,))

    assert fit(flat, by=CountedBy.WING_ROLL) is None


def test_uses_of_one_part_that_name_the_same_rolls_do_not_add_up():
    uses = [Use(TROUGHING, by=CountedBy.ROLL), Use(TROUGHING, by=CountedBy.WING_ROLL)]

    found = fit_of(uses, Q30)

    assert found is not None
    assert found.amount == 360


def test_uses_that_name_different_rolls_do():
    uses = [Use(TROUGHING, by=CountedBy.CENTRE_ROLL), Use(TROUGHING, by=CountedBy.WING_ROLL)]

    found = fit_of(uses, Q30)

    assert found is not None
    assert (found.amount, found.rolls) == (360, THREE)


def test_a_belt_fits_by_its_width_and_strength():
    belt = Place(BELT, 30, length_m=911.3, belt_width_mm=1600.0, belt_strength_n_mm=1000.0)

    right = fit(belt, by=CountedBy.METRE, belt_width_mm=1600.0, belt_strength_n_mm=1000.0)

    assert right == Fit(Decimal("911.30"))
    assert fit(belt, by=CountedBy.METRE, belt_strength_n_mm=800.0) is None
