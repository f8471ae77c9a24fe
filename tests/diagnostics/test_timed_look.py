"""Timed looks: a wander that comes round with the belt, and where on the belt it sits."""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.inference.evidence import Tap, TimedLook
from diagnostics.inference.timed_look import Travel, contradiction, read_timed_look, together
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from plant.loop.vocabulary import Run, Side

LENGTH_M, SPEED_MPS = 300.0, 3.0
TURN_S = 100.0


def a_log(
    *,
    defect_m: float | None,
    bump_mm: float = 45.0,
    turns: float = 4.0,
    seed: int = 1,
    offset_mm: float = 0.0,
    with_splice: bool = True,
) -> TimedLook:
    """Noise and slow wander, and a bump each time the defect passes; the splice passes at 20 s."""
    rng = np.random.default_rng(seed)
    times = np.arange(0, turns * TURN_S, 0.5)
    offsets = offset_mm + rng.normal(0, 4, len(times)) + 5 * np.sin(times / 37.0)
    if defect_m is not None:
        passed_s = (20.0 - defect_m / SPEED_MPS) % TURN_S
        apart = (times - passed_s + TURN_S / 2) % TURN_S - TURN_S / 2
        offsets += bump_mm * np.exp(-0.5 * (apart / 2.0) ** 2)
    return TimedLook(
        "R1-5",
        Run.RETURN,
        160.0,
        TimedLookKind.LOG,
        turns * TURN_S,
        rate_hz=2.0,
        offsets_mm=tuple(float(one) for one in offsets),
        splice_passes_s=(20.0, 120.0) if with_splice else (),
    )


def taps(*events: tuple[float, TapEvent], turns: float = 4.0) -> TimedLook:
    return TimedLook(
        "R1-5",
        Run.RETURN,
        160.0,
        TimedLookKind.TAPS,
        turns * TURN_S,
        taps=tuple(Tap(at, event) for at, event in sorted(events, key=lambda one: one[0])),
    )


def read(look: TimedLook):
    return read_timed_look(look, LENGTH_M, SPEED_MPS)


def belt_error_m(found: float | None, true: float) -> float:
    assert found is not None
    way = (found - true) % LENGTH_M
    return min(way, LENGTH_M - way)


@pytest.mark.parametrize("defect_m", [0.0, 40.0, 150.0, 290.0])
@pytest.mark.parametrize("bump_mm", [45.0, -45.0])
def test_a_log_finds_a_bump_and_where_on_the_belt_it_is(defect_m, bump_mm):
    travel = read(a_log(defect_m=defect_m, bump_mm=bump_mm))

    assert travel.log_ratio > 3
    assert travel.side is (Side.RIGHT if bump_mm > 0 else Side.LEFT)
    assert belt_error_m(travel.belt_position_m, defect_m) <= 3


def test_a_place_ahead_of_the_splice_passes_before_it():
    # The splice passes at 20 s; what passes 5 s earlier is 15 m ahead of it.
    bump = [(15.0 + turn * TURN_S, TapEvent.OVER_LEFT) for turn in range(4)]
    splice = [(20.0 + turn * TURN_S, TapEvent.SPLICE) for turn in range(4)]

    travel = read(taps(*bump, *splice))

    assert travel.belt_position_m == pytest.approx(15.0, abs=0.1)
    assert travel.side is Side.LEFT


@pytest.mark.parametrize("seed", range(8))
def test_a_log_of_noise_and_wander_speaks_against_the_belt(seed):
    travel = read(a_log(defect_m=None, seed=seed))

    assert travel.log_ratio < 0
    assert travel.belt_position_m is None


def test_a_small_bump_on_a_belt_far_off_is_not_taken_for_a_defect():
    travel = read(a_log(defect_m=40.0, bump_mm=14.0, offset_mm=90.0))

    assert travel.log_ratio < 0


def test_taps_at_the_same_moment_of_each_turn_speak_for_the_belt():
    events = []
    for turn in range(4):
        start = turn * TURN_S
        events += [(start + 50, TapEvent.OVER_RIGHT), (start + 54, TapEvent.BACK)]
        events.append((start + 20, TapEvent.SPLICE))

    travel = read(taps(*events))

    assert travel.log_ratio > 3
    # 52 s is the middle of over and back, 32 s after the splice: 68 s before its next pass.
    assert belt_error_m(travel.belt_position_m, (20 - 52) * SPEED_MPS) < 1


def test_taps_at_any_moment_do_not_speak_for_the_belt():
    events = [(at, TapEvent.OVER_RIGHT) for at in (10.0, 135.0, 260.0, 385.0)]

    assert read(taps(*events)).log_ratio < 0


def test_a_missed_way_back_counts_the_tap_itself():
    events = [
        (10.0, TapEvent.OVER_RIGHT),
        (110.0, TapEvent.OVER_RIGHT),
        (114.0, TapEvent.BACK),
        (210.0, TapEvent.OVER_RIGHT),
    ]

    assert read(taps(*events)).log_ratio > 1


def test_without_a_pass_of_the_splice_the_place_on_the_belt_stays_open():
    travel = read(a_log(defect_m=40.0, with_splice=False))

    assert travel.log_ratio > 3
    assert travel.belt_position_m is None


def test_nothing_tapped_speaks_a_little_against_the_belt():
    travel = read(taps((20.0, TapEvent.SPLICE), (120.0, TapEvent.SPLICE)))

    assert -2 < travel.log_ratio < 0


@pytest.mark.parametrize("turns", [0.5, 1.9])
def test_under_two_turns_of_the_belt_nothing_is_told(turns):
    travel = read(a_log(defect_m=40.0, turns=turns))

    assert travel.is_too_short
    assert travel.log_ratio == 0


def test_a_log_counts_only_as_long_as_its_samples_reach():
    short = a_log(defect_m=40.0, turns=1.5)
    claimed = TimedLook(**{**short.__dict__, "duration_s": 1000.0})

    assert read(claimed).is_too_short


def test_mirrored_logs_give_mirrored_sides_and_the_same_weight():
    look = a_log(defect_m=40.0)
    mirror = TimedLook(**{**look.__dict__, "offsets_mm": tuple(-one for one in look.offsets_mm)})

    one, other = read(look), read(mirror)

    assert one.log_ratio == pytest.approx(other.log_ratio)
    assert one.belt_position_m == pytest.approx(other.belt_position_m)
    assert one.side is not other.side


def said(log_ratio, belt_position_m=None, passes=4.0):
    return Travel(passes, log_ratio, belt_position_m, Side.LEFT if log_ratio > 0 else None)


def test_several_looks_add_up_and_a_known_place_stays_known():
    placed, longer_without_splice = said(2.5, 40.0), said(4.0)

    both = together((placed, longer_without_splice))

    assert both.log_ratio == pytest.approx(6.5)
    assert (both.belt_position_m, both.side, both.passes) == (40.0, Side.LEFT, 8.0)
    assert together((longer_without_splice, placed)) == both


def test_a_look_that_saw_nothing_takes_back_what_another_saw():
    both = together((said(2.5, 40.0), said(-3.0)))

    assert both.log_ratio == pytest.approx(-0.5)
    assert both.belt_position_m is None
    assert both.side is None


def test_looks_too_short_to_tell_count_only_alone():
    short = Travel(1.2, 0.0, None)

    assert together((short, said(2.5, 40.0))) == said(2.5, 40.0)
    assert together((short,)) is short
    assert together(()) is None


def test_many_looks_never_outweigh_everything_else():
    assert together((said(9.0, 40.0),) * 5).log_ratio == 12.0
    assert together((said(-3.5),) * 5).log_ratio == -6.0


def test_looks_that_contradict_each_other_are_named():
    looks = (a_log(defect_m=40.0), replace(a_log(defect_m=None), station="R9"))

    (note,) = contradiction(looks, (said(4.0, 60.0), said(-2.0)))

    assert looks[0].station in note
    assert "R9 nothing did" in note
    assert not list(contradiction(looks, (said(4.0, 60.0), said(3.0))))


@pytest.mark.parametrize("values", [(0.0,) * 800, (7.0,) * 800])
def test_a_log_without_any_movement_is_read(values):
    look = a_log(defect_m=None)

    travel = read(TimedLook(**{**look.__dict__, "offsets_mm": values}))

    assert travel.log_ratio < 0
