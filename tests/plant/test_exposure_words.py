"""Amounts, rates and gaps as people read them."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from plant import exposure_words
from plant.metering.basis import Basis
from plant.metering.clocks import Gap
from plant.metering.unknowns import Unknown

UTC_ZONE = ZoneInfo("UTC")
START = datetime(2026, 3, 1, tzinfo=UTC)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("amount", "basis", "words"),
    [
        (4100.4, Basis.RUNNING, "4,100 running hours"),
        (0.9, Basis.RUNNING, "1 running hour"),
        (2_300_000, Basis.TONNES, "2,300,000 t"),
        (548, Basis.CALENDAR, "548 days"),
    ],
)
def test_an_amount_is_told_with_its_unit(amount, basis, words):
    assert plain(exposure_words.amount_words(amount, basis)) == words


@pytest.mark.parametrize(
    ("events", "exposure", "basis", "words"),
    [
        # 6 in 4,100 h are 1.463 in 1,000 h; 3 in 2.3 million t are 0.130 in 100,000 t.
        (6, 4100, Basis.RUNNING, "1.46 in 1,000 running hours"),
        (3, 2_300_000, Basis.TONNES, "0.130 in 100,000 t"),
        (3, 548, Basis.CALENDAR, "2.00 a year"),
        (0, 548, Basis.CALENDAR, "0.000 a year"),
    ],
)
def test_a_rate_is_told_in_a_size_that_people_can_compare(events, exposure, basis, words):
    assert plain(exposure_words.rate_words(events / exposure, basis)) == words


@pytest.mark.parametrize(
    ("figure", "words"),
    [(1234.5, "1,234"), (123.4, "123"), (12.34, "12.3"), (0.0421, "0.042"), (0.00012, "0.0001")],
)
def test_a_small_figure_keeps_a_place_that_says_something(figure, words):
    assert exposure_words.significant(figure) == words


@pytest.mark.parametrize(
    ("days", "words"),
    [(1, "1 day"), (12, "12 days"), (12.4, "12 days"), (0.125, "0.1 days"), (6, "6 days")],
)
def test_a_gap_says_from_when_to_when_and_how_long(days, words):
    gap = Gap(START, START + timedelta(days=days), Unknown.AFTER_LAST, START)

    said = exposure_words.gap_words(gap, UTC_ZONE)

    assert said.startswith("The meter was not read from 2026-03-01 00:00 to 2026-03-")
    assert f"({words})" in said


@pytest.mark.parametrize("why", list(Unknown))
def test_every_reason_has_a_sentence_of_its_own(why):
    said = exposure_words.gap_words(Gap(START, START + timedelta(days=3), why), UTC_ZONE)

    assert said.endswith(".")
    assert "3 days" in said


def test_a_gap_without_cases_costs_nothing():
    assert exposure_words.left_out_words(0) == ""
    assert exposure_words.left_out_words(2) == "2 cases in it are left out of the rate."
