"""Sides, offsets, times and figures as every page words them."""

from datetime import UTC, datetime, timedelta

import pytest

from plant.models import Conveyor, Plant
from plant.templatetags import sheet

SPACE = "\N{NO-BREAK SPACE}"
QUAY = Conveyor(left_words="walkway side", right_words="sea side")
PLAIN = Conveyor()
MOMENT = datetime(2026, 7, 1, 2, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("side", "conveyor", "words"),
    [
        ("right", QUAY, "right (sea side)"),
        ("left", QUAY, "left (walkway side)"),
        ("right", PLAIN, "right"),
        ("left", None, "left"),
        ("", QUAY, ""),
        (None, QUAY, ""),
    ],
)
def test_a_side_carries_the_conveyors_own_word(side, conveyor, words):
    assert sheet.side_words(side, conveyor) == words


@pytest.mark.parametrize(
    ("offset_mm", "words"),
    [
        (35, f"35{SPACE}mm right (sea side)"),
        (-35.4, f"35{SPACE}mm left (walkway side)"),
        (0, f"0{SPACE}mm"),
        (0.4, f"0{SPACE}mm"),
        (-0.4, f"0{SPACE}mm"),
        (None, ""),
    ],
)
def test_an_offset_is_worded_by_its_sign(offset_mm, words):
    assert sheet.offset_words(offset_mm, QUAY) == words


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("America/Halifax", f"2026-06-30 23:30{SPACE}ADT"),
        ("Europe/Lisbon", f"2026-07-01 03:30{SPACE}WEST"),
        ("UTC", f"2026-07-01 02:30{SPACE}UTC"),
    ],
)
def test_an_instant_is_shown_in_the_plants_zone_with_its_name(zone, words):
    assert sheet.plant_time(MOMENT, Plant(time_zone=zone)) == words


def test_an_instant_without_a_plant_is_shown_as_utc():
    assert sheet.plant_time(MOMENT) == f"2026-07-01 02:30{SPACE}UTC"
    assert sheet.plant_time(MOMENT, "") == f"2026-07-01 02:30{SPACE}UTC"


def test_a_day_is_the_plants_day():
    plant = Plant(time_zone="America/Halifax")

    assert sheet.plant_date(MOMENT, plant) == "2026-06-30"
    assert sheet.plant_day(MOMENT, plant) == "Tuesday 30 June 2026"


def test_winter_and_summer_have_their_own_names():
    plant = Plant(time_zone="America/Halifax")

    assert sheet.plant_time(MOMENT, plant).endswith("ADT")
    assert sheet.plant_time(MOMENT + timedelta(days=180), plant).endswith("AST")


@pytest.mark.parametrize("word", [sheet.plant_time, sheet.plant_date, sheet.plant_day])
def test_no_instant_is_no_word(word):
    assert word(None, Plant(time_zone="UTC")) == ""


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.426, f"43{SPACE}%"),
        (1, f"100{SPACE}%"),
        (0, f"0{SPACE}%"),
        (0.004, "under 1 %"),
        (None, ""),
    ],
)
def test_a_probability_is_whole_per_cent_and_never_nothing_by_rounding(probability, words):
    assert sheet.percent(probability) == words


@pytest.mark.parametrize(
    ("position_m", "words"),
    [(12.34, f"12.3{SPACE}m"), (209.99, f"210.0{SPACE}m"), (0, f"0.0{SPACE}m"), (None, "")],
)
def test_a_place_is_metres_to_the_nearest_decimetre(position_m, words):
    assert sheet.metres(position_m) == words


@pytest.mark.parametrize(("seconds", "minutes"), [(900, 15), (61, 2), (0, 0)])
def test_a_wait_is_counted_in_whole_minutes(seconds, minutes):
    assert sheet.whole_minutes(timedelta(seconds=seconds)) == minutes
