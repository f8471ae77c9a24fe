"""What is said about the figures of a belt: each of them, and each that the data cannot say."""

from decimal import Decimal

import pytest

from diagnostics import fault_words
from diagnostics.fault_words import DASH, Figure
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.recurrence.faults.belts import FEWEST_FOR_TREND
from diagnostics.recurrence.faults.given import Asked
from plant.metering.basis import Basis
from plant.models import Conveyor
from tests.diagnostics.reckoned_rows import make_detail

SPACE = "\N{NO-BREAK SPACE}"


def figure(slug: str, *, basis: Basis = Basis.CALENDAR, **fields: object) -> Figure:
    """Of a belt without a row: 3 cases in 4,100 of something, of which the given is known."""
    detail = fields.pop("detail", None) or make_detail(
        counted=3, families=(("return_idler", 2), ("", 1))
    )
    known = {"conveyor": Conveyor(tag="Q30"), "events": 3, "repeats": 1, "lost_hours": 2.5,
             "exposure": 4100.0, "rate": 0.732,
             "shrunk": 0.61, "lower": 0.2, "upper": 1.3, "probability_worse": 0.4,
             "leading_family": "return_idler", "leading_events": 2}  # fmt: skip
    belt = BeltFaults(
        detail=detail.as_json(),  # type: ignore[attr-defined]
        **{**known, **fields},
    )
    return fault_words.figures_of(belt, FaultReckoning(basis=basis.value))[slug]


def said(one: Figure) -> str:
    return " ".join(one.said)


def test_every_figure_has_two_sentences():
    for slug in ("cases", "lost", "rate", "worse", "trend", "cause"):
        sentences = figure(slug).said

        assert len(sentences) == 2
        assert all(sentence.endswith(".") for sentence in sentences), slug


def test_cases_name_their_repeats_and_what_a_repeat_is():
    one = figure("cases")

    assert (one.shown, one.note) == ("3", "1 repeat")
    assert "3 cases were opened in the period, 1 of them repeats" in said(one)


def test_lost_hours_nobody_said_are_a_dash_and_not_0():
    one = figure("lost", lost_hours=0.0, lost_hours_unsaid=3)

    assert one.shown == DASH
    assert "Nobody has said" in said(one)


def test_lost_hours_somebody_said_to_be_none_are_0():
    one = figure("lost", lost_hours=0.0)

    assert one.shown == f"0{SPACE}h"


def test_lost_hours_tell_for_how_many_cases_they_were_said():
    one = figure("lost", lost_hours_unsaid=1)

    assert (one.shown, one.note) == (f"2.5{SPACE}h", "1 case unsaid")
    assert "the sum of what was noted for 2 cases" in said(one)


def test_lost_hours_in_money_where_the_register_knows_what_an_hour_costs():
    one = figure("lost", conveyor=Conveyor(tag="Q30", hour_costs=Decimal(4000)))

    # 2.5 h at 4,000 an hour.
    assert "at 4,000 for an hour down that is 10,000." in said(one)


def test_a_rate_is_told_by_the_hours_it_counts():
    one = figure("rate", basis=Basis.RUNNING)

    assert one.shown == "0.610 in 1,000 running hours"
    assert one.note == "0.200 to 1.30"
    # 3 cases in 4,100 h: 0.732 in 1,000 h.
    assert "3 cases in 4,100 running hours are 0.732 in 1,000 running hours." in said(one)
    assert "Drawn toward the plant's usual rate" in said(one)
    assert "0.610 in 1,000 running hours, 0.200 to 1.30 with 90 % certainty" in said(one)


@pytest.mark.parametrize(
    ("basis", "unit"), [(Basis.TONNES, "in 100,000\N{NO-BREAK SPACE}t"), (Basis.CALENDAR, "a year")]
)
def test_a_rate_names_its_unit(basis: Basis, unit: str):
    assert figure("rate", basis=basis).shown == f"0.610 {unit}"


def test_a_quiet_belt_may_have_had_good_luck():
    assert "is good luck" in said(figure("rate", rate=0.1, shrunk=0.3))
    assert "is bad luck" in said(figure("rate", rate=0.7, shrunk=0.3))


def test_cases_of_unknown_exposure_are_named_beside_the_rate():
    one = figure("rate", detail=make_detail(counted=2, left_out=1))

    assert one.note == "0.200 to 1.30 · 1 case left out"
    assert one.said[0].startswith("2 cases in 4,100 days")


@pytest.mark.parametrize("basis", [Basis.RUNNING, Basis.TONNES])
def test_without_readings_there_is_no_rate_and_nobody_is_sure(basis: Basis):
    for slug in ("rate", "worse"):
        one = figure(slug, basis=basis, exposure=None, rate=None, shrunk=None, lower=None,
                     upper=None, probability_worse=None,
                     detail=make_detail(why_unknown="no_readings"))  # fmt: skip

        assert one.shown == DASH
        assert "Nothing is known to divide its cases by: Its meter was never read." in said(one)


def test_days_without_readings_are_named_beside_the_rate():
    one = figure("rate", basis=Basis.RUNNING, unknown_days=12.2)

    assert "(12 days without readings are left out.)" in said(one)


def test_one_day_without_readings_is_named_as_one():
    one = figure("rate", basis=Basis.RUNNING, unknown_days=1.4)

    assert "(1 day without readings is left out.)" in said(one)


def test_belts_that_differ_by_chance_alone_are_not_ranked_by_chance():
    assert figure("worse", probability_worse=None).shown == DASH
    assert "no more than chance" in said(figure("worse", probability_worse=None))
    assert "the rate of all together" in said(figure("rate", probability_worse=None))


@pytest.mark.parametrize(
    ("probability", "shown", "words"),
    [
        (0.97, f"97{SPACE}%", "hardly bad luck"),
        (0.6, f"60{SPACE}%", "More likely than not"),
        (0.2, f"20{SPACE}%", "ordinary belt"),
        # What is not certain is not shown as certain.
        (0.9996, "over 99 %", "hardly bad luck"),
        (0.0004, "under 1 %", "ordinary belt"),
    ],
)
def test_how_surely_a_belt_is_worse(probability: float, shown: str, words: str):
    one = figure("worse", probability_worse=probability)

    assert one.shown == shown
    assert words in said(one)
    assert one.is_wanting is (probability >= 0.8)


@pytest.mark.parametrize(
    ("trend", "shape", "words", "why"),
    [
        (1, 1.8, "getting worse", "closer and closer together: power-law shape 1.80, above 1"),
        (-1, 0.4, "getting better", "further and further apart: power-law shape 0.40, below 1"),
        (0, 1.1, "no trend", "neither closer nor further apart"),
    ],
)
def test_a_trend_has_words_and_a_sign(trend: int, shape: float, words: str, why: str):
    one = figure("trend", trend=trend, trend_shape=shape, trend_p=0.021)

    assert one.shown == words
    assert one.sign
    assert why in said(one)
    assert "with a probability of 0.02" in said(one)


def test_too_few_cases_have_no_trend_to_tell():
    one = figure("trend", trend_p=None)

    assert one.shown == DASH
    assert "Fewer than three cases" in said(one)


def test_sentences_and_columns_say_the_levels_that_are_reckoned_with():
    # "1.5 times", "90 %", "at most 10 % are chance" and "fewer than three" stand in words.
    assert Asked() == Asked(level=0.90, factor=1.5, false_share=0.10)
    assert FEWEST_FOR_TREND == 3


def test_a_leading_cause_stands_with_its_share_of_what_is_known():
    one = figure("cause")

    assert (one.shown, one.note) == ("Return idlers", "2 of 2 known")
    assert "For 1 case nobody has confirmed a cause yet." in said(one)


def test_no_confirmed_cause_is_a_dash_and_asks_for_one():
    one = figure("cause", leading_family="", leading_events=0)

    assert (one.shown, one.note) == (DASH, "not known yet")
    assert "accept the cause" in said(one)
