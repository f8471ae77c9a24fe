"""Calls as the clerk takes them: about a belt, again about it, about some belt."""

from collections.abc import Mapping
from datetime import datetime

from numpy.random import Generator

from diagnostics.models import Case, Complaint
from diagnostics.services import complaints
from diagnostics.services.complaints import Report
from plant.loop.vocabulary import Side, Zone
from plant.models import Plant
from plant.roles import Role
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.scene import CaseScene
from workorders.services.demo_history.talk import Talk, spoken_name

# Where callers place what they talk about, when they say it at all.
_SAYS_WHERE: Mapping[str, tuple[Zone, ...]] = {
    "tail": (Zone.TAIL, Zone.LOAD),
    "loading": (Zone.LOAD, Zone.CARRYING_LOWER),
    "carrying": (Zone.CARRYING_LOWER, Zone.CARRYING_MID, Zone.CARRYING_UPPER),
    "head": (Zone.HEAD,),
    "return": (Zone.RETURN_BEFORE, Zone.RETURN_AFTER),
    "take_up": (Zone.TAKE_UP, Zone.BEND),
}
_HOW_BAD = tuple(Complaint.HowBad)
# Chance of each of them for a belt that is far off, and for one that is not; judgement.
_FAR_OFF = (0.15, 0.25, 0.48, 0.12)
_A_LITTLE_OFF = (0.6, 0.25, 0.13, 0.02)


def call_in(scene: CaseScene, *, joins: Case | None = None) -> Complaint:
    """One call: it opens a case, or joins the one that is open."""
    conveyor = scene.conveyor
    return complaints.take_complaint(
        plant=conveyor.plant,
        report=_report(scene, comes_back=scene.plan.comes_back and joins is None),
        by=scene.somebody(Role.CLERK),
        now=scene.now,
        join_case_id=joins.pk if joins else None,
        # The clerk sees what is open on the belt and hears that this is another problem.
        seen_case_ids=complaints.open_case_ids(conveyor),
    )


def call_about_some_belt(
    plant: Plant, cast: Cast, talk: Talk, rng: Generator, now: datetime
) -> Complaint:
    """A call nobody can place."""
    caller = talk.caller(rng)
    return complaints.take_complaint(
        plant=plant,
        report=Report(
            words=talk.unsure(rng),
            how_bad=_HOW_BAD[int(rng.integers(3))],
            caller_name=caller["name"],
            caller_contact=caller["contact"],
            shift=_shift(plant, talk, now),
        ),
        by=cast.one(Role.CLERK, rng),
        now=now,
    )


def _report(scene: CaseScene, *, comes_back: bool) -> Report:
    trouble, conveyor, rng = scene.plan.trouble, scene.conveyor, scene.rng
    side = Side(trouble.side)
    is_far = trouble.size_mm / conveyor.clearance_mm > 0.62
    how_bad = _HOW_BAD[int(rng.choice(4, p=_FAR_OFF if is_far else _A_LITTLE_OFF))]
    caller = scene.talk.caller(rng)
    words = scene.talk.complaint(
        rng,
        about=trouble.talk,
        how_bad=how_bad.value,
        belt=spoken_name(conveyor.nicknames, rng),
        side=conveyor.words_for(side),
        other=conveyor.words_for(side.opposite),
        comes_back=comes_back,
    )
    return Report(
        words=words,
        conveyor=conveyor,
        how_bad=how_bad,
        roughly_where=_where(scene),
        caller_name=caller["name"],
        caller_contact=caller["contact"],
        shift=_shift(conveyor.plant, scene.talk, scene.now),
    )


def _where(scene: CaseScene) -> str:
    zones = _SAYS_WHERE.get(scene.plan.trouble.talk, ())
    if not zones or scene.chance(0.35):
        return ""
    return zones[int(scene.rng.integers(len(zones)))].value


def _shift(plant: Plant, talk: Talk, now: datetime) -> str:
    hour = now.astimezone(plant.zone_info).hour
    day, evening, night = talk.bank["shifts"]
    if 7 <= hour < 15:
        return str(day)
    return str(evening if 15 <= hour < 23 else night)
