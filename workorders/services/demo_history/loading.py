"""Loads the invented plants once, whole or not at all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from heapq import heapify, heappop, heappush

import numpy as np
from django.db import connection, transaction
from django.utils.translation import gettext as _

from diagnostics import knowledge_files
from diagnostics.services import diagnosing
from plant.errors import DomainError
from plant.models import Plant
from workorders.services.demo_history import inbox, plot
from workorders.services.demo_history.cast import Cast, call_people
from workorders.services.demo_history.clock import Clock
from workorders.services.demo_history.files import read
from workorders.services.demo_history.ground import write_plant
from workorders.services.demo_history.scene import Scene, Stage, Story
from workorders.services.demo_history.talk import Talk
from workorders.services.demo_history.telling import tell

SEED = 20
# Any number, as long as no other lock of this database has it.
_LOCK = 7_021_611
# A case that is over is told within so many days, one that goes on up to last night.
_MOST_DAYS = timedelta(days=30)
# Cases before that are told with one diagnosis each, later ones with every one they would have.
_LONG_AGO = timedelta(days=150)


class CodeBelongsToRealPlant(DomainError):
    code = "code_belongs_to_real_plant"


@dataclass(frozen=True)
class Loaded:
    """`is_new` is False when the plants were there and nothing was done."""

    is_new: bool


@transaction.atomic
def load_demo(*, now: datetime, seed: int = SEED) -> Loaded:
    """Write the invented plants and their history up to last night; a second time does nothing.

    Refuses with CodeBelongsToRealPlant. The same seed and day give the same history.
    """
    with connection.cursor() as cursor:
        # Two loaders at once: the second waits here, then finds everything done.
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK])
    said = read("plants.yaml")["plants"]
    known = list(Plant.objects.filter(code__in=[one["code"] for one in said]))
    _refuse_real(known)
    if known:
        return Loaded(is_new=False)
    plants = {one["code"]: write_plant(one, now.date()) for one in said}
    casts = call_people(plants)
    # Every story diagnoses its case itself, at its own time.
    with diagnosing.nobody_woken():
        for number, plant in enumerate(plants.values()):
            _tell_history(plant, casts[plant.code], now, [seed, number])
    return Loaded(is_new=True)


def _refuse_real(plants: Sequence[Plant]) -> None:
    for plant in plants:
        if not plant.is_demo:
            raise CodeBelongsToRealPlant(
                _(
                    "%(plant)s has the code %(code)s, which the invented plant needs. "
                    "Load the demo into an empty database."
                )
                % {"plant": plant.name, "code": plant.code}
            )


def _tell_history(plant: Plant, cast: Cast, now: datetime, seed: Sequence[int]) -> None:
    zone = plant.zone_info
    today = now.astimezone(zone).date()
    last_night = datetime.combine(today, time(), tzinfo=zone).astimezone(UTC)
    stages = {one.tag: Stage.of(one) for one in plant.conveyors.select_related("plant")}
    talk = Talk(read("words.yaml"))
    plans = plot.plan_cases(
        read("troubles.yaml"), frozenset(stages), today, zone, np.random.default_rng(seed)
    )
    causes = knowledge_files.current().causes
    stories: list[Story] = []
    for number, plan in enumerate(plans):
        rng = np.random.default_rng([*seed, number])
        begins = plan.reported_at.astimezone(UTC)
        ends = last_night if plan.stands else min(begins + _MOST_DAYS, last_night)
        clock = Clock(begins, ends, zone, rng)
        is_long_ago = last_night - begins > _LONG_AGO
        stories.append(
            tell(Scene(plan, stages[plan.tag], cast, talk, clock, rng, causes, is_long_ago))
        )
    rng = np.random.default_rng([*seed, len(plans)])
    stories += inbox.stories(plant, cast, talk, rng, last_night)
    play(stories)


def play(stories: Sequence[Story]) -> None:
    """Let all stories go on together, always the one whose next moment comes first.

    Numbers then follow the calendar, and a case that comes back finds the earlier one as it was.
    """
    coming = [(next(story), number, story) for number, story in enumerate(stories)]
    heapify(coming)
    while coming:
        _moment, number, story = heappop(coming)
        following = next(story, None)
        if following is not None:
            heappush(coming, (following, number, story))
