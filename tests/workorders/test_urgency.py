"""How soon: from how bad it is, how much edge is left, what the belt carries."""

import pytest

from workorders.urgency import COMBUSTIBLE, Trouble, Urgency, judge_urgency


def trouble(*how_bad: str, worst: float | None = None, carries: str = "potash") -> Trouble:
    return Trouble(frozenset(how_bad), worst, clearance_mm=100, carries=carries)


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
