"""What a teller knows: the belt, who is about, the time; of a case also plan and truth."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from numpy.random import Generator

from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass, LoadState
from plant.loop.path import Loop, belt_revolution_time_s
from plant.loop.vocabulary import Side
from plant.models import Belt, Conveyor, User
from plant.roles import Role
from plant.selectors.loops import fitted_belt, loop_of
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.clock import Clock
from workorders.services.demo_history.plot import CasePlan, Trouble
from workorders.services.demo_history.response import TrueCause
from workorders.services.demo_history.talk import Talk

# A story stops at each moment it names and goes on when that moment has come.
Story = Iterator[datetime]

# Wind lifts an empty belt; a loaded one lies still.
_ONLY_EMPTY = frozenset({"wind_on_belt"})


@dataclass(frozen=True)
class Stage:
    """One conveyor as all its cases see it."""

    conveyor: Conveyor
    belt: Belt
    loop: Loop

    @property
    def revolution_s(self) -> float:
        return belt_revolution_time_s(self.belt.length_m, self.conveyor.speed_mps)

    @staticmethod
    def of(conveyor: Conveyor) -> "Stage":
        belt = fitted_belt(conveyor)
        if belt is None:
            raise LookupError(f"{conveyor.tag} has no belt.")
        return Stage(conveyor, belt, loop_of(conveyor, belt=belt))


@dataclass(frozen=True)
class Scene:
    """`is_long_ago`: told in less detail."""

    stage: Stage
    cast: Cast
    talk: Talk
    clock: Clock
    rng: Generator
    causes: Mapping[str, Cause]
    is_long_ago: bool

    @property
    def conveyor(self) -> Conveyor:
        return self.stage.conveyor

    @property
    def now(self) -> datetime:
        return self.clock.now

    def somebody(self, role: Role) -> User:
        return self.cast.one(role, self.rng)

    def note(self, about: str) -> str:
        return self.talk.note(self.rng, about)

    def chance(self, share: float) -> bool:
        return bool(self.rng.random() < share)


@dataclass(frozen=True)
class CaseScene(Scene):
    """A scene that plays for one case."""

    plan: CasePlan

    def truth(self) -> TrueCause:
        return true_cause(self.stage, self.plan.trouble, self.causes)


def true_cause(stage: Stage, trouble: Trouble, causes: Mapping[str, Cause]) -> TrueCause:
    """A trouble as it stands on this belt."""
    cause_class = CauseClass(causes[trouble.cause].cause_class)
    only = LoadState.LOADED if cause_class is CauseClass.LOADING else None
    return TrueCause(
        cause=trouble.cause,
        cause_class=cause_class,
        position_m=_position_m(stage, trouble.at),
        side=Side(trouble.side),
        size_mm=trouble.size_mm,
        only=LoadState.EMPTY if trouble.cause in _ONLY_EMPTY else only,
    )


def _position_m(stage: Stage, at: str | float) -> float:
    """A loop position, or a belt position for a splice or a share of the belt."""
    if isinstance(at, float):
        return at * stage.belt.length_m
    splice = next((one for one in stage.belt.splices.all() if one.name == at), None)
    if splice is not None:
        return splice.belt_position_m
    station = stage.loop.station_named(at)
    if station is None:
        raise LookupError(f"{stage.conveyor.tag} has nothing called {at}.")
    return station.position_m
