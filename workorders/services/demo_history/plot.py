"""Who has which trouble when: the cases of the history before anybody tells them; pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from numpy.random import Generator

HISTORY_DAYS = 548
# No drawn case within so many days of another case of the same belt: it would be the same one.
APART_DAYS = 26
# Drawn cases end before the ones that are still going on begin.
LAST_DRAWN_DAYS_AGO = 34


class Ending(StrEnum):
    PROVED = "proved"
    FAILED_ONCE = "failed once, then proved"
    NOT_MISTRACKING = "not mistracking"
    CANCELLED = "cancelled"
    DECLINED = "declined"


class Stands(StrEnum):
    """How far a case that is still going on has come."""

    REPORTED = "reported"
    WALKING = "walking"
    WALKED = "walked"
    CHECKED = "checked"
    PROPOSED = "proposed"
    APPROVED = "approved"
    SCHEDULED = "scheduled"
    WAITING = "waiting"
    IN_HAND = "in_hand"
    DONE = "done"
    FAILED = "failed"


_SHARE_OF_ENDINGS = {
    Ending.PROVED: 0.66,
    Ending.FAILED_ONCE: 0.14,
    Ending.NOT_MISTRACKING: 0.11,
    Ending.CANCELLED: 0.05,
    Ending.DECLINED: 0.04,
}


@dataclass(frozen=True)
class Trouble:
    """A line of `troubles.yaml`: the true cause, where it acts and how people talk about it."""

    cause: str
    at: str | float
    side: str
    size_mm: float
    talk: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class CasePlan:
    """One case to tell; `stands` is None for a case that has come to its `ending`.

    `comes_back` when the same trouble was on this belt before.
    """

    tag: str
    trouble: Trouble
    reported_at: datetime
    ending: Ending
    stands: Stands | None = None
    comes_back: bool = False


@dataclass(frozen=True)
class HandPlan:
    """An order that no case asked for."""

    tag: str
    raised_at: datetime
    title: str
    component: str
    work_method: str
    steps: tuple[str, ...]
    stands: Stands | None


@dataclass(frozen=True)
class Calendar:
    """The belts of one plant, the day up to which history is told, and the plant's zone."""

    tags: frozenset[str]
    today: date
    zone: ZoneInfo

    def moment(self, days_ago: int, rng: Generator) -> datetime:
        """A minute of that day; most calls come while people are about."""
        minutes = int(rng.choice(24, p=_HOURS)) * 60 + int(rng.integers(60))
        day = datetime.combine(self.today - timedelta(days=days_ago), time(), tzinfo=self.zone)
        return day + timedelta(minutes=minutes)


def plan_cases(said: Mapping[str, Any], calendar: Calendar, rng: Generator) -> list[CasePlan]:
    """All cases of one plant out of `troubles.yaml`, in the order in which they were reported."""
    plans: list[CasePlan] = []
    for belt in said["belts"]:
        if belt["tag"] in calendar.tags:
            plans += _of_belt(belt, calendar, rng)
    for going in said["going_on"]:
        if going["tag"] in calendar.tags:
            at = calendar.moment(going["days_ago"], rng)
            trouble = _trouble(going["trouble"])
            stands = Stands(going["stands"])
            plans.append(CasePlan(going["tag"], trouble, at, Ending.PROVED, stands))
    return _with_returns(sorted(plans, key=lambda plan: plan.reported_at))


def plan_by_hand(said: Mapping[str, Any], calendar: Calendar, rng: Generator) -> list[HandPlan]:
    """The orders of one plant that no case asked for; those without `stands` are over."""
    return [
        HandPlan(
            tag=one["tag"],
            raised_at=calendar.moment(one["days_ago"], rng),
            title=one["title"],
            component=one["component"],
            work_method=one.get("work_method", ""),
            steps=tuple(one.get("steps", ())),
            stands=Stands(one["stands"]) if "stands" in one else None,
        )
        for one in said["by_hand"]
        if one["tag"] in calendar.tags
    ]


def _of_belt(belt: Mapping[str, Any], calendar: Calendar, rng: Generator) -> list[CasePlan]:
    fixed = [(days, one) for one in belt["troubles"] for days in one.get("days_ago", ())]
    plans = [
        CasePlan(belt["tag"], _trouble(one), calendar.moment(days, rng), Ending.PROVED)
        for days, one in fixed
    ]
    open_to_draw = [one for one in belt["troubles"] if "weight" in one]
    weights = [float(one["weight"]) for one in open_to_draw]
    for days in _free_days(belt["drawn"], [days for days, _one in fixed], rng):
        one = open_to_draw[_drawn(weights, rng)]
        ending = list(Ending)[_drawn(list(_SHARE_OF_ENDINGS.values()), rng)]
        plans.append(CasePlan(belt["tag"], _trouble(one), calendar.moment(days, rng), ending))
    return plans


def _free_days(wanted: int, taken: Sequence[int], rng: Generator) -> list[int]:
    """Days ago on which a belt had no other case near; fewer when the calendar is full."""
    found: list[int] = []
    for days in rng.permutation(range(LAST_DRAWN_DAYS_AGO, HISTORY_DAYS)):
        if len(found) == wanted:
            break
        if all(abs(int(days) - other) >= APART_DAYS for other in (*taken, *found)):
            found.append(int(days))
    return found


def _drawn(weights: Sequence[float], rng: Generator) -> int:
    whole = sum(weights)
    return int(rng.choice(len(weights), p=[weight / whole for weight in weights]))


# Calls by hour of the day, out of a hundred or so; engineering judgement.
_CALLS = [1, 1, 1, 1, 1, 2, 5, 9, 8, 7, 6, 5, 4, 6, 7, 6, 5, 4, 3, 3, 2, 2, 1, 1]
_HOURS = [calls / sum(_CALLS) for calls in _CALLS]


def _trouble(said: Mapping[str, Any]) -> Trouble:
    return Trouble(
        cause=said["cause"],
        at=said["at"],
        side=said["side"],
        size_mm=float(said["size_mm"]),
        talk=said["talk"],
        also=tuple(said.get("also", ())),
    )


def _with_returns(plans: list[CasePlan]) -> list[CasePlan]:
    seen: set[tuple[str, str]] = set()
    result = []
    for plan in plans:
        key = (plan.tag, plan.trouble.cause)
        result.append(
            CasePlan(
                plan.tag,
                plan.trouble,
                plan.reported_at,
                plan.ending,
                plan.stands,
                comes_back=key in seen,
            )
        )
        seen.add(key)
    return result
