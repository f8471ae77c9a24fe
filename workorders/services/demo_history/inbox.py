"""Calls nobody could place at first: most are sorted out later, some still wait."""

from datetime import datetime, timedelta

from numpy.random import Generator

from diagnostics.models import Case
from diagnostics.services import complaints
from plant.models import Plant
from plant.roles import Role
from workorders.services.demo_history import reporting
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.plot import HISTORY_DAYS
from workorders.services.demo_history.scene import Story
from workorders.services.demo_history.talk import Talk

# How many calls of the whole history were sorted out, and how long ago the waiting ones came,
# for a plant with so many conveyors. [h]
_SORTED_OUT = 7
_STILL_WAITING_H = (2.5, 9.0, 31.0)
_LARGE_PLANT = 5
_DAY = 24 * 60


def stories(
    plant: Plant, cast: Cast, talk: Talk, rng: Generator, last_night: datetime
) -> list[Story]:
    """One story for each such call."""
    is_large = plant.conveyors.count() >= _LARGE_PLANT
    told = [
        _sorted_out(plant, cast, talk, rng, last_night - timedelta(minutes=int(minutes)))
        for minutes in rng.integers(7 * _DAY, HISTORY_DAYS * _DAY, _SORTED_OUT if is_large else 1)
    ]
    waiting = _STILL_WAITING_H if is_large else _STILL_WAITING_H[:1]
    return told + [
        _waits(plant, cast, talk, rng, last_night - timedelta(hours=hours)) for hours in waiting
    ]


def _waits(plant: Plant, cast: Cast, talk: Talk, rng: Generator, at: datetime) -> Story:
    yield at
    reporting.call_about_some_belt(plant, cast, talk, rng, at)


def _sorted_out(plant: Plant, cast: Cast, talk: Talk, rng: Generator, at: datetime) -> Story:
    """Somebody finds out which belt it was; when it is none of ours, the call is withdrawn."""
    yield at
    complaint = reporting.call_about_some_belt(plant, cast, talk, rng, at)
    later = at + timedelta(minutes=int(rng.integers(30, 1200)))
    yield later
    by = cast.one(Role.CLERK, rng)
    open_cases = list(Case.objects.open().filter(conveyor__plant=plant).order_by("pk"))
    if open_cases and rng.random() < 0.6:
        case = open_cases[int(rng.integers(len(open_cases)))]
        complaints.name_conveyor(
            complaint_id=complaint.pk,
            conveyor=case.conveyor,
            join_case_id=case.pk,
            by=by,
            now=later,
        )
        return
    complaints.withdraw_complaint(
        complaint_id=complaint.pk, why=talk.withdrawal(rng), by=by, now=later
    )
