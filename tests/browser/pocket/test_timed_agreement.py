"""The phone reads taps as the server does: simulated watches, in real Chromium.

What the server reads is the outside value here: the phone's modules are a second writing of it.
"""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from diagnostics.inference.case_file.fields import Field
from diagnostics.inference.case_file.looks import read_timed_looks
from diagnostics.inference.evidence import BeltFacts, SpliceFact, Tap, TimedLook
from diagnostics.inference.timed_look import ASKED_PASSES, Travel, together
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from diagnostics.inference.watching.reading import WatchReading, read_watch
from plant.loop.path import Loop
from plant.loop.vocabulary import Run
from tests.browser.pocket import timed_bench
from tests.simulator.conveyors import random_conveyor
from tests.simulator.faults import put_belt_defect
from tests.simulator.observer import Observer
from tests.simulator.world import true_world

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SIMULATED, INVENTED = 40, 160
TELLS = math.log(3)
# Asked is 0.3; the two are the same sums, so that they differ by rounding alone.
NEAR = 1e-6
Watch = tuple[TimedLook, BeltFacts, float]
Read = tuple[Watch, WatchReading, dict[str, Any]]


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context()
    yield timed_bench.blank_page(context)
    context.close()


@pytest.fixture(scope="module")
def watches() -> list[Watch]:
    rng = np.random.default_rng(20261128)
    simulated = _simulated(rng)
    return [next(simulated) for _ in range(SIMULATED)] + [_invented(rng) for _ in range(INVENTED)]


@pytest.fixture(scope="module")
def read(page: Page, watches: list[Watch]) -> list[Read]:
    asked = [_asked(*one) for one in watches]
    code = "return given.map((one) => the.readTaps(one.taps, one.watchedS, one.belt));"
    phone = timed_bench.call(page, "verdict.js", code, asked)
    server = [read_watch(look, belt, speed) for look, belt, speed in watches]
    return list(zip(watches, server, phone, strict=True))


def _simulated(rng: np.random.Generator) -> Iterator[Watch]:
    number = 0
    while True:
        conveyor = random_conveyor(rng, "N1")
        world = true_world(conveyor, rng)
        number += 1
        moving = None
        if number % 2:
            cause, side = "crooked_splice", int(rng.choice([-1, 1]))
            moving = put_belt_defect(rng, conveyor, cause, 1.2, side, {})
        still = (np.array([0.0, world.length_m]), np.zeros(2))
        seen = Observer(rng, conveyor, world, {"loaded": still}, moving).watch("loaded")
        if seen["kind"] != "taps":
            continue
        loop = Loop((), world.length_m, world.head_m, world.pulleys[-1].at_m)
        (look,) = read_timed_looks(Field(seen, "watch"), loop)
        yield look, BeltFacts(1000, world.length_m), conveyor["speed_m_s"]


def _invented(rng: np.random.Generator) -> Watch:
    """A belt of any length and speed, tapped well or badly, watched for one turn or for nine."""
    length_m, speed = float(rng.uniform(40, 2500)), float(rng.uniform(0.6, 6))
    turn_s = length_m / speed * float(rng.normal(1, rng.choice([0.005, 0.015, 0.08])))
    watched_s = round(turn_s * float(rng.uniform(1.2, 9)), 1)
    events = _by_chance(rng, watched_s)
    if rng.random() < 0.6:
        events += _at_each_pass(rng, turn_s, watched_s)
    if rng.random() < 0.7:
        first = float(rng.uniform(0, turn_s))
        passes = np.arange(first, watched_s, turn_s) + rng.normal(0, 0.4)
        some = rng.random() < 0.3
        events += [(at, "splice") for at in passes if rng.random() > 0.15][: 1 if some else None]
    taps = sorted((round(at, 1), word) for at, word in events if 0 <= at <= watched_s)
    look = TimedLook(
        "R5",
        Run.RETURN,
        20.0,
        TimedLookKind.TAPS,
        watched_s,
        taps=tuple(Tap(at, TapEvent(word)) for at, word in taps),
        is_running_backwards=bool(rng.random() < 0.3),
    )
    splices = (SpliceFact("S1", 0.0), SpliceFact("S2", length_m * 0.4))
    return look, BeltFacts(1000, length_m, splices=splices), speed


def _by_chance(rng: np.random.Generator, watched_s: float) -> list[tuple[float, str]]:
    events: list[tuple[float, str]] = []
    for _ in range(int(rng.choice([0, 0, 1, 3, 6]))):
        at = float(rng.uniform(0, watched_s))
        events.append((at, str(rng.choice(["over-left", "over-right"]))))
        events += [(at + float(rng.uniform(0.5, 9)), "back")] * int(rng.random() < 0.8)
    return events


def _at_each_pass(
    rng: np.random.Generator, turn_s: float, watched_s: float
) -> list[tuple[float, str]]:
    word, first = str(rng.choice(["over-left", "over-right"])), float(rng.uniform(0, turn_s))
    error_s, lasts_s = float(rng.choice([0.3, 1, 4])), float(rng.uniform(1, 12))
    events: list[tuple[float, str]] = []
    for pass_s in np.arange(first, watched_s, turn_s):
        if rng.random() < 0.85:
            at = float(pass_s + rng.normal(0, error_s))
            events.append((at, word))
            events += [(at + lasts_s, "back")] * int(rng.random() < 0.85)
    return events


def _asked(look: TimedLook, belt: BeltFacts, speed_mps: float) -> dict[str, Any]:
    return {
        "taps": [[one.at_s, one.event.value] for one in look.taps],
        "watchedS": look.duration_s,
        "belt": {
            "beltLengthM": belt.length_m,
            "speedMps": speed_mps,
            "splicesM": [one.belt_position_m for one in belt.splices],
            "positionM": look.position_m,
            "isRunningBackwards": look.is_running_backwards,
        },
    }


def _side(travel: Travel) -> str | None:
    return travel.side.value if travel.side else None


def _decision(log_ratio: float, passes: float) -> str:
    if passes < ASKED_PASSES or abs(log_ratio) < TELLS:
        return "open"
    return "travels" if log_ratio > 0 else "fixed"


def test_watches_of_every_outcome_are_compared(read: list[Read]):
    said = [_decision(one.travel.log_ratio, one.travel.passes) for _, one, _ in read]

    assert min(said.count(one) for one in ("open", "travels", "fixed")) > 20
    assert sum(one.travel.is_too_short for _, one, _ in read) > 10
    assert sum(one.travel.belt_position_m is not None for _, one, _ in read) > 40


def test_the_phone_weighs_taps_as_the_server_does(read: list[Read]):
    for _, server, phone in read:
        assert phone["logRatio"] == pytest.approx(server.travel.log_ratio, abs=NEAR)
        assert phone["travel"]["log_ratio"] == phone["logRatio"]
        assert phone["passes"] == pytest.approx(server.travel.passes, rel=1e-6)
        assert phone["isTooShort"] is server.travel.is_too_short


def test_the_phone_calls_it_enough_just_where_the_server_decides(read: list[Read]):
    for _, server, phone in read:
        told = _decision(server.travel.log_ratio, server.travel.passes)
        kind = phone["verdict"]["kind"]

        assert (kind if kind in {"travels", "fixed"} else "open") == told


def test_the_phone_finds_the_same_place_on_the_belt(read: list[Read]):
    for (_, belt, _), server, phone in read:
        place_m, travel = server.travel.belt_position_m, phone["travel"]
        assert travel["side"] == _side(server.travel)
        assert travel["spread_m"] == pytest.approx(server.travel.spread_m, rel=1e-4)
        if place_m is None:
            assert travel["belt_position_m"] is None
            continue
        assert server.splice_near is not None
        way = (travel["belt_position_m"] - place_m + belt.length_m / 2) % belt.length_m
        assert way - belt.length_m / 2 == pytest.approx(0, abs=1e-3)
        assert phone["spliceNear"]["aheadM"] == pytest.approx(server.splice_near.ahead_m, abs=1e-3)


def test_taps_lie_in_the_fold_where_the_server_draws_them(read: list[Read]):
    for (look, _, _), server, phone in read:
        turn_s = server.turn.seconds
        folded = [(one["turn"] - 1 + one["share"]) * turn_s for one in phone["fold"]]

        assert folded == pytest.approx([one.at_s for one in look.taps], abs=1e-3)
        assert [one["event"] for one in phone["fold"]] == [one.event.value for one in look.taps]
        if server.splice_share is None:
            assert phone["spliceShare"] is None
        else:
            assert phone["spliceShare"] == pytest.approx(server.splice_share, abs=1e-5)


def test_several_looks_add_up_as_on_the_server(page: Page, read: list[Read]):
    rng = np.random.default_rng(7)
    groups = [rng.choice(len(read), size=int(rng.integers(1, 6))) for _ in range(60)]
    asked = [[read[one][2]["travel"] for one in group] for group in groups]

    phone = timed_bench.call(page, "verdict.js", "return given.map(the.together);", asked)

    for group, one in zip(groups, phone, strict=True):
        server = together(tuple(read[number][1].travel for number in group))
        assert server is not None
        assert one["log_ratio"] == pytest.approx(server.log_ratio, abs=NEAR)
        assert one["passes"] == pytest.approx(server.passes, rel=1e-6)
        assert one["side"] == _side(server)


def test_more_turns_are_at_most_what_was_said(page: Page, watches: list[Watch]):
    """Asked at the end of each turn: most looks are told within the turns that were said."""
    code = """return given.map((one) => [2, 3, 4, 5, 6, 7, 8].map((turns) => {
        const endS = turns * one.belt.beltLengthM / one.belt.speedMps;
        const taps = one.taps.filter(([atS]) => atS <= endS);
        return endS > one.watchedS ? null : the.readTaps(taps, endS, one.belt).verdict;
    }));"""
    said = timed_bench.call(page, "verdict.js", code, [_asked(*one) for one in watches[::3]])

    kept, broken = 0, 0
    for verdicts in said:
        for turn, one in enumerate(verdicts):
            if one is None or one["kind"] != "watch":
                continue
            until = verdicts[turn + 1 : turn + 1 + one["moreTurns"]]
            if len(until) == one["moreTurns"] and None not in until:
                is_told = any(later["kind"] != "watch" for later in until)
                kept, broken = kept + is_told, broken + (not is_told)
    assert kept > 40
    assert broken < 0.2 * (kept + broken)


def test_mirrored_taps_give_the_other_side_and_the_same_weight(page: Page):
    taps = [[100 * turn + at, word] for turn in range(4) for at, word in _VISIT]
    other: dict[object, object] = {"over-left": "over-right"}
    mirrored = [[at, other.get(word, word)] for at, word in taps]
    belt = {"beltLengthM": 300, "speedMps": 3}

    code = "return given.map(([taps, belt]) => the.readTaps(taps, 400, belt));"
    one, two = timed_bench.call(page, "verdict.js", code, [[taps, belt], [mirrored, belt]])

    assert one["logRatio"] == pytest.approx(two["logRatio"])
    assert (one["side"], two["side"]) == ("left", "right")
    # 12 s after the look began, 8 s before the splice: 24 m ahead of it at 3 m/s.
    assert one["beltPositionM"] == pytest.approx(24, abs=0.5)


_VISIT = [(11.0, "over-left"), (13.0, "back"), (20.0, "splice")]


@pytest.mark.parametrize("belt", [{}, {"beltLengthM": None, "speedMps": 2}, {"speedMps": 0}])
def test_without_a_revolution_time_nothing_is_judged(page: Page, belt: dict[str, Any]):
    code = "return the.readTaps([[4, 'over-left']], 400, given);"
    read = timed_bench.call(page, "verdict.js", code, {"beltLengthM": 300} | belt)

    assert read["verdict"]["kind"] == "unknown"
    assert read["travel"] is None
