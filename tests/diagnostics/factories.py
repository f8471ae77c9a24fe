"""The smallest valid rows of a complaint, a case and a walk, on a conveyor with a closed loop."""

import math
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from django.contrib.auth.models import Group

from diagnostics.inference.evidence import Tap
from diagnostics.inference.vocabulary import Degree, LoadState, TapEvent
from diagnostics.models import Case, Complaint, Hypothesis, Sighting, TimedLook, WalkDown
from diagnostics.services import cases, complaints, timed_looks, walking
from diagnostics.services.complaints import Report
from diagnostics.services.timed_looks import Post
from diagnostics.services.walking import Pass, Seen
from plant.loop.vocabulary import ComponentKind, Run, Side
from plant.models import Belt, Component, Conveyor, Plant, Splice, User
from plant.roles import Role

NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
_numbers = count(1)
K = ComponentKind


def later(**step: float) -> datetime:
    return NOW + timedelta(**step)


def make_plant(**fields: Any) -> Plant:
    number = next(_numbers)
    defaults = {"code": f"D{number}", "name": f"Dock {number}", "time_zone": "America/Halifax"}
    return Plant.objects.create(**{**defaults, **fields})


def make_person(role: Role, *plants: Plant) -> User:
    person = User.objects.create_user(username=f"{role.name.lower()}{next(_numbers)}@dock.example")
    person.groups.add(Group.objects.get(name=role.value))
    person.plants.set(plants)
    return person


def make_bare_conveyor(plant: Plant | None = None, **fields: Any) -> Conveyor:
    """A conveyor whose loop nobody has registered yet."""
    number = next(_numbers)
    defaults = {
        "plant": plant or make_plant(),
        "tag": f"CV-{number}",
        "name": "Quay belt",
        "nicknames": ["the long one"],
        "centre_distance_m": 60,
        "speed_mps": 2.0,
        "clearance_mm": 100,
        "take_up_kind": "screw",
        "left_words": "sea side",
        "right_words": "shed side",
    }
    return Conveyor.objects.create(**{**defaults, **fields})


def make_conveyor(plant: Plant | None = None, **fields: Any) -> Conveyor:
    """60 m between pulleys, idlers I1 to I45 above and R1 to R18 below, a belt with a splice."""
    conveyor = make_bare_conveyor(plant, **fields)
    add_loop(conveyor)
    belt = Belt.objects.create(conveyor=conveyor, width_mm=1000, length_m=122.5)
    Splice.objects.create(belt=belt, name="S1", belt_position_m=0)
    return conveyor


def add_loop(conveyor: Conveyor) -> None:
    pulley = {"diameter_mm": 800, "wrap_deg": 180}
    for part in (
        {"name": "LP", "kind": K.LOAD_POINT, "run": Run.CARRYING, "first_m": 2, "length_m": 3},
        {"name": "I", "kind": K.TROUGHING_IDLERS, "run": Run.CARRYING, "first_m": 1,
         "spacing_m": "1.3", "count": 45, "is_numbered": True},
        {"name": "HP", "kind": K.HEAD_PULLEY, "run": Run.CARRYING, "first_m": 60, **pulley},
        {"name": "R", "kind": K.RETURN_IDLERS, "run": Run.RETURN, "first_m": 64,
         "spacing_m": 3, "count": 18, "is_numbered": True},
        {"name": "TP", "kind": K.TAIL_PULLEY, "run": Run.RETURN, "first_m": "121.257", **pulley},
    ):  # fmt: skip
        Component.objects.create(conveyor=conveyor, **part)


def make_case(conveyor: Conveyor | None = None, *, now: datetime = NOW) -> Case:
    conveyor = conveyor or make_conveyor()
    return cases.open_case(conveyor=conveyor, summary="rubs on the frame", by=None, now=now)


def take(
    conveyor: Conveyor | None,
    *,
    words: str = "it rubs the frame again",
    now: datetime = NOW,
    **how: Any,
) -> Complaint:
    """A complaint taken by the service; without a conveyor a `plant` is asked for."""
    plant = how.pop("plant", None) or (conveyor.plant if conveyor else None)
    assert plant is not None
    report = Report(words=words, conveyor=conveyor)
    return complaints.take_complaint(plant=plant, report=report, by=None, now=now, **how)


def make_walk_down(case: Case | None = None, *, now: datetime = NOW, **how: Any) -> WalkDown:
    return walking.begin_walk_down(
        case_id=(case or make_case()).pk, how=Pass(**how), cautions_read=True, by=None, now=now
    )


def look(
    walk_down: WalkDown,
    station: str = "R5",
    position_m: float = 76.0,
    *,
    degree: Degree | None = Degree.HALF,
    side: Side | None = Side.RIGHT,
    now: datetime | None = None,
    client_id: Any = None,
    **seen: Any,
) -> Sighting:
    """A look kept by the service, half over to the right unless said otherwise."""
    given = {
        "station": station,
        "run": Run.CARRYING if position_m <= 60 else Run.RETURN,
        "position_m": position_m,
        "load": LoadState.LOADED,
        "degree": degree,
        "side": None if degree in (None, Degree.CENTRED) else side,
        **seen,
    }
    return walking.record_sighting(
        walk_down_id=walk_down.pk,
        seen=Seen(**given),
        by=None,
        now=now or walk_down.started_at + timedelta(minutes=5),
        client_id=client_id,
    )


def taps_of_four_turns(*, turn_s: float = 61.25, first_s: float = 10.0) -> list[Tap]:
    """Over to the left and back 4 s ahead of every pass of the splice."""
    taps = []
    for turn in range(4):
        at_s = first_s + turn * turn_s
        taps += [Tap(at_s, TapEvent.OVER_LEFT), Tap(at_s + 2, TapEvent.BACK)]
        taps.append(Tap(at_s + 5, TapEvent.SPLICE))
    return taps


def make_timed_look(case: Case | None = None, *, now: datetime = NOW, **how: Any) -> TimedLook:
    """Taps of four turns at R5, kept by the service."""
    taps = how.pop("taps", taps_of_four_turns())
    post = {"station": "R5", "run": Run.RETURN, "position_m": 76.0, "load": LoadState.LOADED}
    return timed_looks.record_taps(
        case_id=(case or make_case()).pk,
        post=Post(**{**post, **how.pop("post", {})}),
        taps=taps,
        **{"duration_s": 250.0, "cautions_read": True, "by": None, "now": now, **how},
    )


def a_sensor_file(*, turns: float = 4.0, turn_s: float = 61.25, bump_mm: float = 40.0) -> bytes:
    """Five samples a second, a bump to the right each turn, the splice marked."""
    rows = ["time [s],offset [mm],splice"]
    for number in range(int(turns * turn_s * 5)):
        at_s = number / 5
        apart_s = (at_s - 10 + turn_s / 2) % turn_s - turn_s / 2
        offset = bump_mm * math.exp(-0.5 * (apart_s / 2) ** 2) + 3 * math.sin(number * 1.7)
        rows.append(f"{at_s:.1f},{offset:.1f},{int((at_s - 15) % turn_s < 0.1999)}")
    return "\n".join(rows).encode()


def make_sensor_look(case: Case | None = None, *, now: datetime = NOW, **how: Any) -> TimedLook:
    """A sensor's file of four turns at R5, kept by the service."""
    post = {"station": "R5", "run": Run.RETURN, "position_m": 76.0, "load": LoadState.LOADED}
    given = {"content": a_sensor_file(), "name": "edge.csv", "cautions_read": True, **how}
    return timed_looks.record_sensor_file(
        case_id=(case or make_case()).pk, post=Post(**post), by=None, now=now, **given
    )


def walk_with_trouble_on_return(case: Case | None = None, *, now: datetime = NOW) -> WalkDown:
    """Centred up to the head and behind it, over to the right from R9 on."""
    walk_down = make_walk_down(case, now=now)
    for number in range(1, 46, 6):
        look(walk_down, f"I{number}", 1 + 1.3 * (number - 1), degree=Degree.CENTRED)
    for number in range(1, 19, 2):
        over = Degree.HALF if 9 <= number <= 13 else Degree.SLIGHT
        degree = over if number >= 9 else Degree.CENTRED
        look(walk_down, f"R{number}", 64 + 3 * (number - 1), degree=degree)
    return walk_down


def make_hypothesis(case: Case | None = None, **fields: Any) -> Hypothesis:
    """One the engine might have ranked, not judged yet."""
    defaults = {
        "case": case or make_case(),
        "rank": 1,
        "cause": "return_idler_skewed",
        "cause_class": "return_idler",
        "zone": "return run before the take-up",
        "component": "R9",
        "position_m": 88.0,
        "probability": 0.6,
        "detail": {"side": "right"},
    }
    return Hypothesis.objects.create(**{**defaults, **fields})
