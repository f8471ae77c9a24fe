"""What one timed look says: revolution time, shares, place, and when it can say nothing."""

import re
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.inference.vocabulary import TimedLookKind
from diagnostics.inference.watching.reading import WatchReading, read_watch
from diagnostics.inference.watching.sentences import sentences_of
from plant.loop.vocabulary import Side
from tests.diagnostics.watching.watches import (
    BELT,
    LENGTH_M,
    SPEED_MPS,
    TURN_S,
    a_log,
    conveyor,
    some_taps,
)


def read(look) -> WatchReading:
    return read_watch(look, BELT, SPEED_MPS)


def said(look) -> str:
    return " ".join(sentences_of(read(look), look, conveyor()))


def apart_m(one: float, other: float) -> float:
    way = (one - other) % LENGTH_M
    return min(way, LENGTH_M - way)


@pytest.mark.parametrize("turn_s", [98.6, 100.0, 101.3])
def test_the_fold_tells_how_long_a_turn_takes(turn_s):
    turn = read(a_log(turn_s=turn_s, splices=0, turns=5)).turn

    assert turn.from_fold
    assert not turn.from_splice
    assert turn.lower_s <= turn_s <= turn.upper_s
    assert turn.upper_s - turn.lower_s < 0.01 * turn_s
    assert turn.register_s == TURN_S


def test_passes_of_the_splice_tell_it_where_nothing_travels():
    turn = read(some_taps(None, turn_s=101.0)).turn

    assert turn.from_splice
    assert turn.lower_s <= 101.0 <= turn.upper_s
    assert not turn.disagrees


def test_a_missed_pass_of_the_splice_is_no_longer_turn():
    look = some_taps(None, turns=5)
    without = replace(look, taps=tuple(one for one in look.taps if one.at_s != 220.0))

    turn = read(without).turn

    assert turn.seconds == pytest.approx(TURN_S, rel=0.005)


@pytest.mark.parametrize("look", [some_taps(turn_s=112.0), a_log(turn_s=112.0)])
def test_a_turn_that_the_register_cannot_have_is_said(look):
    reading = read(look)

    assert reading.turn.disagrees
    assert reading.travel.log_ratio > 3
    assert "the belt length or the speed in the register may be wrong" in said(look)
    # 300 m in 112 s, and 3 m/s for 112 s.
    assert "2.68 m/s" in said(look)
    assert re.search(r"33[567]\.\d m long", said(look))


def test_a_fold_far_from_the_register_is_found_without_a_pass_of_the_splice():
    reading = read(a_log(turn_s=110.0, splices=0, turns=5))

    assert reading.turn.seconds == pytest.approx(110.0, rel=0.005)
    assert reading.turn.disagrees


def test_passes_that_fit_no_turn_are_not_believed():
    look = replace(some_taps(), splice_passes_s=(3.0, 47.0, 71.0, 155.0, 290.0))

    assert not read(look).turn.from_splice


def test_shares_are_those_the_log_was_made_of():
    # Mean square: 900 stays, a plateau over a third of the belt travels, 4 mm of noise is left.
    look = a_log(offset_mm=30.0, bump_mm=30.0, over_m=100.0, turns=6, noise_mm=1.0)
    offsets = np.array(look.offsets_mm)
    clean = a_log(offset_mm=30.0, bump_mm=30.0, over_m=100.0, turns=6, noise_mm=0.0)
    whole, mean = np.mean(offsets**2), np.mean(offsets)
    travels = np.var(np.array(clean.offsets_mm))

    shares = read(look).shares

    assert shares is not None
    assert shares.fixed == pytest.approx(mean**2 / whole, abs=0.02)
    assert shares.travelling == pytest.approx(travels / whole, abs=0.02)
    assert shares.fixed + shares.travelling + shares.rest == pytest.approx(1.0)


def test_noise_is_no_travelling_share():
    shares = [read(a_log(None, seed=seed)).shares for seed in range(6)]

    assert all(one is not None and one.travelling < 0.15 for one in shares)


@pytest.mark.parametrize("make", [a_log, some_taps])
@pytest.mark.parametrize("is_backwards", [False, True])
@pytest.mark.parametrize("defect_m", [0.0, 40.0, 250.0])
def test_the_place_on_the_belt_is_found_whichever_way_it_runs(make, is_backwards, defect_m):
    travel = read(make(defect_m, is_backwards=is_backwards)).travel

    assert travel.belt_position_m is not None
    assert apart_m(travel.belt_position_m, defect_m) < 2 * travel.spread_m < 9


def test_running_backwards_is_said():
    assert "ran backwards" in said(some_taps(is_backwards=True))
    assert "ran backwards" not in said(some_taps())


def test_the_nearest_splice_is_named_with_the_way_to_it():
    near = read(a_log(155.0)).splice_near

    assert near is not None
    assert near.name == "S2"
    assert near.ahead_m == pytest.approx(-5.0, abs=2.5)
    assert "S2" in said(a_log(155.0))


def test_a_belt_without_registered_splices_names_the_reference_splice():
    reading = read_watch(a_log(2.0), replace(BELT, splices=()), SPEED_MPS)

    assert reading.splice_near is not None
    assert reading.splice_near.name == "the reference splice"


def test_a_cambered_section_is_placed_only_to_about_half_its_length():
    look = a_log(40.0, over_m=40.0, bump_mm=40.0)

    travel = read(look).travel

    assert travel.spread_m > 8
    assert "half its length" in said(look)


def test_a_short_bump_is_placed_within_a_few_metres():
    assert read(a_log(40.0, over_m=3.0)).travel.spread_m < 3


def test_side_and_size_of_the_bump_in_the_conveyors_own_words():
    look = a_log(40.0, bump_mm=-45.0, noise_mm=1.0)

    assert read(look).travel.bump_mm == pytest.approx(45.0, abs=5.0)
    assert "left (sea side)" in said(look)


def test_something_small_beside_a_large_fixed_offset_is_named_and_not_blamed():
    look = a_log(40.0, bump_mm=15.0, offset_mm=95.0)

    assert read(look).weighed.is_minor
    assert read(look).travel.log_ratio < 0
    assert "hardly what was complained of" in said(look)


def test_without_a_pass_of_the_splice_no_place_is_known_and_that_is_said():
    look = some_taps(splices=False)

    assert read(look).travel.belt_position_m is None
    assert "No pass of the reference splice was noted" in said(look)


@pytest.mark.parametrize("look", [a_log(turns=1.4), some_taps(turns=1)])
def test_under_two_turns_it_says_too_short_and_what_is_asked_for(look):
    assert read(look).travel.is_too_short
    assert read(look).travel.log_ratio == 0
    assert "Too short to tell" in said(look)
    assert "3 turns are asked for, 5.0 minutes" in said(look)


def test_between_two_and_three_turns_it_asks_for_more():
    assert read(a_log(turns=2.5)).is_short
    assert "minimum to be sure" in said(a_log(turns=2.5))


def test_a_log_of_constant_offset_stays_in_place():
    look = replace(a_log(None), offsets_mm=(30.0,) * 800)

    reading = read(look)

    assert reading.travel.log_ratio < 0
    assert reading.shares is not None
    assert reading.shares.fixed == pytest.approx(1.0)


@pytest.mark.parametrize("offsets", [(), (5.0,), (float("nan"),) * 30, (float("nan"), 1.0)])
def test_a_log_of_hardly_any_sample_says_so(offsets):
    look = replace(a_log(), offsets_mm=offsets, times_s=(), rate_hz=1.0)

    reading = read(look)

    assert reading.travel.log_ratio == 0
    assert reading.curve == ()
    assert "Too few samples" in said(look)


def test_samples_that_are_no_numbers_are_left_out():
    look = a_log()
    offsets = list(look.offsets_mm)
    offsets[100:110] = [float("nan")] * 10

    travel = read(replace(look, offsets_mm=tuple(offsets))).travel

    assert travel.log_ratio > 3
    assert travel.belt_position_m is not None
    assert apart_m(travel.belt_position_m, 40.0) < 3


def test_irregular_samples_are_folded_by_their_times():
    look = a_log(40.0, rate_hz=4.0)
    kept = np.sort(np.random.default_rng(3).choice(len(look.offsets_mm), 700, replace=False))
    thinned = replace(
        look,
        offsets_mm=tuple(look.offsets_mm[at] for at in kept),
        times_s=tuple(look.times_s[at] for at in kept),
    )

    travel = read(thinned).travel

    assert travel.belt_position_m is not None
    assert apart_m(travel.belt_position_m, 40.0) < 3


def test_one_excursion_alone_does_not_travel():
    look = a_log(None)
    offsets = np.array(look.offsets_mm)
    offsets[300:306] += 120.0

    assert read(replace(look, offsets_mm=tuple(offsets.tolist()))).travel.log_ratio < 1


def test_a_mirrored_look_says_the_same_of_the_other_side():
    look = a_log()
    mirror = replace(look, offsets_mm=tuple(-one for one in look.offsets_mm))

    one, other = read(look).travel, read(mirror).travel

    assert other.side is Side.LEFT
    assert one.side is Side.RIGHT
    assert (other.log_ratio, other.belt_position_m, other.spread_m, other.bump_mm) == (
        pytest.approx((one.log_ratio, one.belt_position_m, one.spread_m, one.bump_mm))
    )


def test_a_twice_as_large_bump_is_read_twice_as_large():
    one, other = (read(a_log(bump_mm=mm, noise_mm=0.5)).travel.bump_mm for mm in (30.0, 60.0))

    assert one is not None
    assert other == pytest.approx(2 * one, rel=0.05)


def test_the_fold_and_the_visits_are_there_to_be_drawn():
    log, taps = read(a_log()), read(some_taps())

    assert len(log.curve) == 60
    assert max(log.curve, key=lambda one: one.mean_mm).share == pytest.approx(0.0667, abs=0.02)
    assert log.splice_share == pytest.approx(0.2, abs=0.005)
    assert log.visits == ()
    assert [one.turn for one in taps.visits] == [1, 2, 3, 4]
    assert taps.curve == ()


def test_a_very_long_look_is_folded_from_its_first_turns():
    look = a_log(turns=90, rate_hz=1.0, splices=0)

    assert read(look).is_cut
    assert read(look).travel.passes == pytest.approx(90, rel=0.01)
    assert "first 60 of them" in said(look)


def test_every_kind_of_look_has_a_first_sentence():
    for kind, look in ((TimedLookKind.LOG, a_log()), (TimedLookKind.TAPS, some_taps())):
        assert look.kind is kind
        assert said(look).startswith("Something travels with the belt")
    assert said(a_log(None, turns=6)).startswith("Nothing came round")
