"""Reckoning what is due: owed for each conveyor, done by a sweep, kept as rows.

What a conveyor's list is owed by is read before anything else. What comes in while it is reckoned
therefore leaves it owed, and it is reckoned once more.
"""

import logging
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from plant.models import Conveyor, Plant
from workorders.models import DueItem, DueState
from workorders.selectors.due_things import DueThing, things_due
from workorders.selectors.life_answers import PlantAnswers
from workorders.selectors.limits import Limits, limits_of
from workorders.selectors.lives import PlantLives
from workorders.selectors.wear import ConveyorWear

logger = logging.getLogger(__name__)

# Days go by, and a line meets today.
_FRESH_FOR = timedelta(hours=20)


def reckon_owed() -> int:
    """Reckon every conveyor whose list is owed; returns how many. With none it is one query."""
    return reckon(owed_conveyors(Conveyor.objects.all(), timezone.now()), timezone.now())


def owed_conveyors(rows: QuerySet[Conveyor], now: datetime) -> QuerySet[Conveyor]:
    """Those of the conveyors in service whose list is not as it should be."""
    is_owed = (
        Q(due_state__isnull=True)
        | Q(due_state__reckoned_at__isnull=True)
        | Q(due_state__reckoned_at__lt=now - _FRESH_FOR)
        | ~Q(due_state__asked=F("due_state__answered"))
        | ~Q(due_state__seen_changed_at=F("changed_at"))
    )
    return rows.filter(is_owed, retired_on__isnull=True)


def reckon(conveyors: Iterable[Conveyor], now: datetime) -> int:
    """Reckon these conveyors, plant by plant, each in a transaction of its own; how many were.

    One that cannot be reckoned stays owed and stops no other.
    """
    by_plant: dict[int, list[int]] = defaultdict(list)
    for one in conveyors:
        by_plant[one.plant_id].append(one.pk)
    done = 0
    for plant_id, pks in by_plant.items():
        states = _states(pks)
        plant = Plant.objects.get(pk=plant_id)
        answers, limits = PlantAnswers(PlantLives(plant, now)), limits_of(plant_id)
        for state in states:
            conveyor = answers.lives.conveyors.get(state.conveyor_id)
            if conveyor is not None:
                done += _reckon_one(state, conveyor, answers, limits, now)
    if done:
        logger.info("Reckoned what is due of %d conveyors.", done)
    return done


def _reckon_one(
    state: DueState, conveyor: Conveyor, answers: PlantAnswers, limits: Limits, now: datetime
) -> bool:
    try:
        _keep(state, things_due(ConveyorWear(conveyor, now, limits), answers), now)
    except Exception:
        # Raised here, it would keep the lists of all conveyors after it as old as they are.
        logger.exception("What is due of conveyor %s could not be reckoned.", conveyor.pk)
        return False
    return True


def _states(pks: Sequence[int]) -> list[DueState]:
    """What the lists are owed by, read first."""
    DueState.objects.bulk_create(
        (DueState(conveyor_id=pk) for pk in sorted(pks)), ignore_conflicts=True
    )
    changed = dict(Conveyor.objects.filter(pk__in=pks).values_list("pk", "changed_at"))
    states = list(DueState.objects.filter(conveyor__in=pks).order_by("pk"))
    for state in states:
        state.answered, state.seen_changed_at = state.asked, changed[state.conveyor_id]
    return states


@transaction.atomic
def _keep(state: DueState, things: Iterable[DueThing], now: datetime) -> None:
    """Put the rows of a conveyor in place of those before; a thing that stays keeps its row."""
    # Two workers at once: the second waits here and writes over the first, never beside it.
    DueState.objects.select_for_update().get(pk=state.pk)
    standing = {one.key: one for one in DueItem.objects.filter(conveyor=state.conveyor_id)}
    new: list[DueItem] = []
    changed: list[DueItem] = []
    for thing in things:
        row = standing.pop(thing.key, None)
        (new if row is None else changed).append(_row(state.conveyor_id, thing, row))
    DueItem.objects.filter(pk__in=[one.pk for one in standing.values()]).delete()
    DueItem.objects.bulk_create(new)
    DueItem.objects.bulk_update(changed, _FIELDS)
    state.reckoned_at = now
    state.save(update_fields=["answered", "seen_changed_at", "reckoned_at"])


def _row(conveyor_id: int, thing: DueThing, row: DueItem | None) -> DueItem:
    row = row or DueItem(conveyor_id=conveyor_id, key=thing.key)
    for name in _FIELDS:
        if name != "reading":
            setattr(row, name, getattr(thing, name))
    row.sets, row.why, row.reading_id = list(thing.sets), dict(thing.why), thing.reading_id
    return row


_FIELDS = (
    "component",
    "what",
    "reason",
    "where",
    "station",
    "position_m",
    "sets",
    "count",
    "due_on",
    "due_from",
    "due_until",
    "work_method",
    "why",
    "reading",
)
