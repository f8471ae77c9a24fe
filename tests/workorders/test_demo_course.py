"""The invented conveyors: every course closes and makes a loop nobody has to ask about."""

import math

import pytest

from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind
from workorders.services.demo_history.course import lay_course
from workorders.services.demo_history.files import read

CONVEYORS = [
    pytest.param(conveyor, id=conveyor["tag"])
    for plant in read("plants.yaml")["plants"]
    for name in plant["conveyors"]
    for conveyor in read(name)["conveyors"]
]
# ISO 251, belt widths [mm] of the range used here.
ISO_251_WIDTHS_MM = {500, 650, 800, 1000, 1200, 1400, 1600, 1800, 2000}


def _course(*stands, head_mm=800, tail_mm=800):
    head, tail = (
        {"name": name, "kind": kind, "diameter_mm": diameter, "turn_deg": -180}
        for name, kind, diameter in (("H", "head_pulley", head_mm), ("T", "tail_pulley", tail_mm))
    )
    return [{"straight_m": 100.0, "stands": stands, "pulley": head}, {"pulley": tail}]


def _ends_at(parts: tuple[Part, ...]) -> float:
    """How far from its start the drawn belt comes out, along the conveyor. [m]"""
    along_m, last_m, heading = 0.0, 0.0, 0.0
    for pulley in (part for part in parts if part.is_pulley):
        along_m += (pulley.first_m - last_m) * math.cos(math.radians(heading))
        turn = pulley.out_deg - pulley.in_deg
        radius = math.copysign(pulley.diameter_mm / 2000, turn)
        along_m += radius * (
            math.sin(math.radians(pulley.out_deg)) - math.sin(math.radians(pulley.in_deg))
        )
        last_m, heading = pulley.first_m + pulley.arc_m, pulley.out_deg
    return along_m


def test_two_equal_pulleys_give_twice_the_centres_and_one_circumference():
    loop = build_loop(lay_course(_course()))

    assert loop.length_m == pytest.approx(200 + math.pi * 0.8, abs=0.002)


def test_group_without_count_fills_its_stretch():
    group = {"name": "C", "kind": "troughing_idlers", "at_m": 2.0, "spacing_m": 1.0, "short_m": 3.0}

    parts = lay_course(_course(group))

    assert (parts[0].first_m, parts[0].last_m, parts[0].count) == (2.0, 97.0, 96)


def test_self_aligning_sets_stand_between_blocks_at_the_same_spacing():
    group = {
        "name": "C",
        "kind": "troughing_idlers",
        "at_m": 1.0,
        "spacing_m": 1.0,
        "self_aligning_every": 45,
    }

    parts = [part for part in lay_course(_course(group)) if part.is_idler]

    assert [part.name for part in parts] == ["C1-", "SA-C1", "C2-"]
    assert parts[1].kind is ComponentKind.SELF_ALIGNING_IDLER
    assert parts[1].first_m - parts[0].last_m == pytest.approx(1.0)
    assert parts[2].first_m - parts[1].first_m == pytest.approx(1.0)


def test_last_stretch_that_leads_away_from_the_tail_is_refused():
    course = _course()
    course[0]["pulley"]["turn_deg"] = 0

    with pytest.raises(ValueError, match="does not lead back"):
        lay_course(course)


@pytest.mark.parametrize("conveyor", CONVEYORS)
def test_every_course_comes_out_where_it_began(conveyor):
    parts = lay_course(conveyor["course"])

    assert _ends_at(parts) == pytest.approx(0, abs=0.01)
    assert parts[-1].out_deg == 0


@pytest.mark.parametrize("conveyor", CONVEYORS)
def test_every_conveyor_builds_and_its_figures_agree_with_its_course(conveyor):
    loop = build_loop(lay_course(conveyor["course"]))

    assert loop.head_m == pytest.approx(conveyor["centre_distance_m"])
    has_take_up = bool(loop.of_kind(ComponentKind.TAKE_UP_PULLEY))
    assert has_take_up == (TakeUpKind(conveyor["take_up_kind"]) is not TakeUpKind.SCREW)
    assert conveyor["belt"]["width_mm"] in ISO_251_WIDTHS_MM
    assert 1.2 <= conveyor["speed_mps"] <= 4.5
    assert {Run.CARRYING, Run.RETURN} == {part.run for part in loop.parts if part.is_idler}


def test_every_trouble_stands_where_something_stands():
    by_tag = {conveyor.values[0]["tag"]: conveyor.values[0] for conveyor in CONVEYORS}
    said = read("troubles.yaml")
    pairs = [(belt["tag"], one) for belt in said["belts"] for one in belt["troubles"]]
    pairs += [(going["tag"], going["trouble"]) for going in said["going_on"]]

    for tag, trouble in pairs:
        loop = build_loop(lay_course(by_tag[tag]["course"]))
        splices = {f"S{n}" for n, _one in enumerate(by_tag[tag]["belt"]["splices"], start=1)}
        at = trouble["at"]
        assert isinstance(at, float) or at in splices or loop.station_named(at), (tag, at)
        assert trouble["size_mm"] < by_tag[tag]["clearance_mm"], (tag, trouble)
        assert trouble["talk"] in read("words.yaml")["seen"], (tag, trouble)
