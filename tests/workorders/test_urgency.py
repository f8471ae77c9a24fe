"""How soon: from how bad it is, how much edge is left, what the belt carries."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.loop.vocabulary import Consequence
from workorders.planning.offset_trend import OffsetTrend, Pace
from workorders.urgency import COMBUSTIBLE, Trouble, Urgency, judge_urgency

ORDER = list(Urgency)
# From the mildest on.
CONSEQUENCES = [Consequence.WAY_ROUND, None, Consequence.PART, Consequence.WHOLE_LINE]


def trouble(
    *how_bad: str, worst: float | None = None, carries: str = "potash", **more: Any
) -> Trouble:
    return Trouble(frozenset(how_bad), worst, clearance_mm=100, carries=carries, **more)


def growing(days: float, least: float | None = None) -> OffsetTrend:
    return OffsetTrend(Pace.GROWING, 4, 8.0, days, least)


def rank(known: Trouble) -> int:
    """0 for stop now."""
    return ORDER.index(judge_urgency(known).urgency)


WORDS = st.frozensets(st.sampled_from(["off_centre", "spilling", "rubbing", "stopped"]))
PEOPLE = st.frozensets(st.sampled_from(["nobody", "pass", "fall"]))
TRENDS = st.none() | st.builds(growing, st.floats(0, 400))
TROUBLES = st.builds(
    Trouble,
    how_bad=WORDS,
    worst_offset_mm=st.none() | st.floats(-200, 200),
    clearance_mm=st.floats(5, 300),
    carries=st.sampled_from(["potash", "wheat", ""]),
    consequence=st.sampled_from(CONSEQUENCES),
    people_near=PEOPLE,
    trend=TRENDS,
)


def test_a_belt_that_stands_because_of_it_stays_stopped() -> None:
    judged = judge_urgency(trouble("off_centre", "stopped"))

    assert judged.urgency is Urgency.STOP_NOW
    assert "leave it stopped" in judged.reasons[0]


def test_a_rubbing_belt_is_for_this_shift() -> None:
    assert judge_urgency(trouble("rubbing", worst=60)).urgency is Urgency.THIS_SHIFT


@pytest.mark.parametrize("carries", ["wheat", "Grain, screened", "potash and grain", "woodchips"])
def test_a_rubbing_belt_under_combustible_dust_stops_now(carries: str) -> None:
    judged = judge_urgency(trouble("rubbing", carries=carries))

    assert judged.urgency is Urgency.STOP_NOW
    assert any("catch fire" in reason for reason in judged.reasons)


def test_a_word_that_only_contains_a_combustible_one_does_not_count() -> None:
    assert judge_urgency(trouble("rubbing", carries="licorice")).urgency is Urgency.THIS_SHIFT


@pytest.mark.parametrize("worst", [100, -100, 130])
def test_an_edge_that_touches_counts_as_rubbing_whatever_was_said(worst: float) -> None:
    judged = judge_urgency(trouble("off_centre", worst=worst))

    assert judged.urgency is Urgency.THIS_SHIFT
    assert any("edge touches" in reason for reason in judged.reasons)


@pytest.mark.parametrize(
    ("worst", "urgency"),
    [
        (0, Urgency.WATCH),
        (39.9, Urgency.WATCH),
        (40, Urgency.NEXT_OUTAGE),
        (79.9, Urgency.NEXT_OUTAGE),
        (80, Urgency.THIS_SHIFT),
        (-80, Urgency.THIS_SHIFT),
        (99.9, Urgency.THIS_SHIFT),
    ],
)
def test_the_edge_clearance_left_decides_for_a_belt_that_is_only_off_centre(
    worst: float, urgency: Urgency
) -> None:
    assert judge_urgency(trouble("off_centre", worst=worst)).urgency is urgency


def test_spilling_waits_for_no_longer_than_the_next_outage() -> None:
    judged = judge_urgency(trouble("spilling", worst=10))

    assert judged.urgency is Urgency.NEXT_OUTAGE
    assert len(judged.reasons) == 2


def test_unlooked_at_is_not_harmless() -> None:
    judged = judge_urgency(trouble("off_centre"))

    assert judged.urgency is Urgency.NEXT_OUTAGE
    assert judged.reasons == ("Nobody has looked yet how far the edge is from the structure.",)


def test_left_and_right_are_judged_alike() -> None:
    for worst in range(0, 160, 5):
        left = judge_urgency(trouble("off_centre", worst=-worst))
        assert left == judge_urgency(trouble("off_centre", worst=worst))


def test_nearer_to_the_structure_is_never_less_urgent() -> None:
    order = list(Urgency)
    ranks = [
        order.index(judge_urgency(trouble("off_centre", worst=worst)).urgency)
        for worst in range(0, 160, 5)
    ]

    assert ranks == sorted(ranks, reverse=True)


@pytest.mark.parametrize("clearance", [0.0, -5.0, float("nan")])
def test_no_clearance_is_refused(clearance: float) -> None:
    with pytest.raises(ValueError, match="clearance_mm must be > 0 mm"):
        judge_urgency(Trouble(frozenset(), None, clearance))


def test_every_combustible_word_is_plain() -> None:
    assert all(word.isalpha() and word.islower() for word in COMBUSTIBLE)


@pytest.mark.parametrize(
    ("known", "urgency", "words"),
    [
        (trouble(worst=30, consequence=Consequence.WHOLE_LINE), "next_outage", "whole line"),
        (trouble(worst=70, consequence=Consequence.WHOLE_LINE), "this_shift", "whole line"),
        (trouble(worst=70, consequence=Consequence.PART), "next_outage", "30 mm of 100"),
        (trouble(worst=45, consequence=Consequence.WAY_ROUND), "watch", "way round"),
        (trouble(worst=85, consequence=Consequence.WAY_ROUND), "this_shift", "way round"),
        (trouble(worst=10, people_near=frozenset({"nobody"})), "watch", "90 mm"),
        (trouble(worst=10, people_near=frozenset({"pass"})), "next_outage", "People walk"),
        (trouble("spilling", people_near=frozenset({"pass"})), "this_shift", "People walk"),
        (trouble(worst=10, people_near=frozenset({"fall"})), "this_shift", "rope it off"),
        (trouble(worst=20, trend=growing(2)), "this_shift", "2 days after the last look"),
        (trouble(worst=20, trend=growing(5)), "next_outage", "8 mm a week, by 4 looks"),
        (trouble(worst=20, trend=growing(5), carries="coal"), "this_shift", "grows"),
        (trouble(worst=20, trend=growing(60, 45)), "watch", "about 60 days, perhaps 45,"),
        (trouble(worst=20, trend=growing(0.2)), "this_shift", "a day or less"),
        (trouble(worst=20, trend=OffsetTrend(Pace.TOO_FEW, 2)), "watch", "80 mm"),
        (trouble(worst=20, trend=OffsetTrend(Pace.UNCLEAR, 3, 4.0)), "watch", "cannot be told"),
        (trouble(worst=20, trend=OffsetTrend(Pace.EASING, 3, -9.0)), "watch", "coming back"),
        (trouble(worst=95, trend=OffsetTrend(Pace.EASING, 3, -9.0)), "this_shift", "coming back"),
    ],
)
def test_situations_are_judged_with_their_reason(known: Trouble, urgency: str, words: str) -> None:
    judged = judge_urgency(known)

    assert judged.urgency == urgency
    assert any(words in reason for reason in judged.reasons), judged.reasons


@given(TROUBLES)
def test_the_reason_that_decides_stands_first(known: Trouble) -> None:
    judged = judge_urgency(known)

    assert judged.reasons
    assert len(set(judged.reasons)) == len(judged.reasons)


@given(TROUBLES, st.floats(0, 200))
def test_less_clearance_left_is_never_less_urgent(known: Trouble, further_mm: float) -> None:
    worst = known.worst_offset_mm
    if worst is None:
        return
    nearer = replace(known, worst_offset_mm=worst + (further_mm if worst >= 0 else -further_mm))

    assert rank(nearer) <= rank(known)


@given(TROUBLES)
def test_a_combustible_load_is_never_less_urgent(known: Trouble) -> None:
    assert rank(replace(known, carries="grain")) <= rank(replace(known, carries="salt"))


@given(TROUBLES)
def test_the_more_stands_still_the_more_urgent(known: Trouble) -> None:
    ranks = [rank(replace(known, consequence=one)) for one in CONSEQUENCES]

    assert ranks == sorted(ranks, reverse=True)


@given(TROUBLES, st.sampled_from(["nobody", "pass", "fall"]))
def test_people_near_it_never_make_it_less_urgent(known: Trouble, more: str) -> None:
    assert rank(replace(known, people_near=known.people_near | {more})) <= rank(known)


@given(TROUBLES, st.sampled_from(["off_centre", "spilling", "rubbing", "stopped"]))
def test_a_worse_complaint_never_makes_it_less_urgent(known: Trouble, more: str) -> None:
    assert rank(replace(known, how_bad=known.how_bad | {more})) <= rank(known)


@given(TROUBLES, st.floats(0, 400), st.floats(0, 400))
def test_touching_sooner_is_never_less_urgent(known: Trouble, one: float, other: float) -> None:
    sooner, later = sorted([one, other])

    assert rank(replace(known, trend=growing(sooner))) <= rank(replace(known, trend=growing(later)))


@given(TROUBLES)
def test_mirrored_offsets_are_judged_alike(known: Trouble) -> None:
    if known.worst_offset_mm is not None:
        mirrored = replace(known, worst_offset_mm=-known.worst_offset_mm)
        assert judge_urgency(mirrored) == judge_urgency(known)
