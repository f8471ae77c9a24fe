"""Puts the stories of one plant on its stage and lets them go on together."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from heapq import heapify, heappop, heappush

import numpy as np
from numpy.random import Generator

from diagnostics.inference.causes import Cause
from diagnostics.selectors import shelf
from plant.models import Plant
from workorders.services.demo_history import inbox, plot
from workorders.services.demo_history.by_hand import tell_by_hand
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.clock import Clock
from workorders.services.demo_history.files import read
from workorders.services.demo_history.scene import CaseScene, Scene, Stage, Story
from workorders.services.demo_history.talk import Talk, heard
from workorders.services.demo_history.telling import tell

# A case that is over is told within so many days, one that goes on up to last night.
_MOST_DAYS = timedelta(days=30)
# Cases before that are told with one diagnosis each, later ones with every one they would have.
_LONG_AGO = timedelta(days=150)


@dataclass(frozen=True)
class Teller:
    """Makes the stories of one plant; the seed and the day of `now` decide everything."""

    plant: Plant
    cast: Cast
    now: datetime
    seed: tuple[int, ...]

    @cached_property
    def today(self) -> date:
        return self.plant.day_of(self.now)

    @cached_property
    def last_night(self) -> datetime:
        """Nothing is told after it, so that the hour of loading does not matter."""
        return datetime.combine(self.today, time(), tzinfo=self.plant.zone_info).astimezone(UTC)

    @cached_property
    def stages(self) -> dict[str, Stage]:
        return {one.tag: Stage.of(one) for one in self.plant.conveyors.select_related("plant")}

    @cached_property
    def causes(self) -> Mapping[str, Cause]:
        return shelf.knowledge_of(self.plant.pk).causes

    def stories(self, unheard: Sequence[str]) -> list[Story]:
        """All of them, not begun yet; `unheard` are words nobody of this plant says."""
        banks = {
            **read("words.yaml"),
            "notes": read("notes.yaml"),
            "callers": read("people.yaml")["callers"],
        }
        talk = Talk(heard(banks, unheard))
        rng = np.random.default_rng([*self.seed, 0])
        calls = inbox.stories(self.plant, self.cast, talk, rng, self.last_night)
        return [*self._cases(talk), *self._by_hand(talk), *calls]

    def _cases(self, talk: Talk) -> Iterator[Story]:
        rng = np.random.default_rng([*self.seed, 1])
        for plan in plot.plan_cases(read("troubles.yaml"), self._calendar(), rng):
            scene = self._scene(plan.tag, plan.reported_at, plan.stands, talk, rng)
            yield tell(CaseScene(**vars(scene), plan=plan))

    def _by_hand(self, talk: Talk) -> Iterator[Story]:
        rng = np.random.default_rng([*self.seed, 2])
        for plan in plot.plan_by_hand(read("troubles.yaml"), self._calendar(), rng):
            scene = self._scene(plan.tag, plan.raised_at, plan.stands, talk, rng)
            yield tell_by_hand(scene, plan)

    def _calendar(self) -> plot.Calendar:
        return plot.Calendar(frozenset(self.stages), self.today, self.plant.zone_info)

    def _scene(
        self, tag: str, begins_at: datetime, stands: plot.Stands | None, talk: Talk, rng: Generator
    ) -> Scene:
        # Every story has its own chance, so that a longer one does not change the others.
        own = rng.spawn(1)[0]
        begins = begins_at.astimezone(UTC)
        ends = self.last_night if stands else min(begins + _MOST_DAYS, self.last_night)
        return Scene(
            stage=self.stages[tag],
            cast=self.cast,
            talk=talk,
            clock=Clock(begins, ends, self.plant.zone_info, own),
            rng=own,
            causes=self.causes,
            is_long_ago=self.last_night - begins > _LONG_AGO,
        )


def play(stories: Sequence[Story], told: Callable[[int, int], None] | None = None) -> None:
    """Let all stories go on together, always the one whose next moment comes first.

    Numbers then follow the calendar, and a case that comes back finds the earlier one as it was.
    `told` hears after each story that ended how many have, and of how many.
    """
    coming = [(next(story), number, story) for number, story in enumerate(stories)]
    heapify(coming)
    while coming:
        _moment, number, story = heappop(coming)
        following = next(story, None)
        if following is not None:
            heappush(coming, (following, number, story))
        elif told is not None:
            told(len(stories) - len(coming), len(stories))
