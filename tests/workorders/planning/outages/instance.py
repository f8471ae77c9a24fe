"""The large instance: 300 jobs on 40 belts, 12 windows, 6 crews, from a seed.

Four lines of ten belts have three windows each within four weeks. Jobs, people and hours are
invented; they are so many that not all fit. The one of the bench is kept as a file,
`tests/bench/outage_plan.json`, so that it stays the same whatever Python draws; it is written by

    python -m tests.workorders.planning.outages.instance
"""

from dataclasses import replace
from random import Random
from typing import TypeVar

from workorders.planning.outages.plan import (
    Absence,
    Crew,
    Job,
    Placement,
    Plan,
    Span,
    Window,
)

_One = TypeVar("_One")

SEED = 20
_DAY = 24 * 60
# Monday 2026-11-30, 00:00 UTC.
MONDAY = 29_737_440
HORIZON = Span(MONDAY, MONDAY + 28 * _DAY)
LINES = "NESW"
# By urgency, with how often each comes.
_WEIGHTS = ((1, 30), (4, 50), (15, 15), (60, 5))
_TRADES = (("mechanic", 55), ("rigger", 15), ("splicer", 15), ("electrician", 15))


def make_plan(seed: int = SEED, jobs: int = 300) -> tuple[Plan, Span]:
    draw = Random(seed)
    windows = {one.key: one for one in _windows(draw)}
    crews = {one.key: one for one in _crews(draw)}
    made: dict[str, Job] = {}
    for number in range(1, jobs + 1):
        job = _job(draw, f"J{number:03}", list(made.values()))
        made[job.key] = job
    for key, place in _pins(draw, made, windows).items():
        made[key] = replace(made[key], placed=place, is_pinned=True)
    placements = {key: job.placed for key, job in made.items() if job.placed is not None}
    return Plan(windows, crews, made, placements), HORIZON


def _windows(draw: Random) -> list[Window]:
    made = []
    for place, line in enumerate(LINES):
        belts = frozenset(f"{line}{number}" for number in range(1, 11))
        for week, day in enumerate((1 + place, 8 + (place + 2) % 5, 15 + (place + 1) % 4 + 3)):
            starts = MONDAY + day * _DAY + 60 * draw.choice((6, 6, 7, 8))
            hours = draw.choice((6, 8, 8, 10))
            span = Span(starts, starts + 60 * hours)
            made.append(Window(f"{line}-{week + 1}", span, belts))
    return made


def _crews(draw: Random) -> list[Crew]:
    return [
        _crew("Day fitters", 5, {"mechanic"}, 6, 8, 120),
        _crew("Quay fitters", 4, {"mechanic", "rigger"}, 7, 8, 60),
        _crew("Late fitters", 3, {"mechanic", "electrician"}, 12, 8, 0),
        _crew("Riggers", 3, {"rigger", "mechanic"}, 6, 10, 60),
        _crew("Splicers", 3, {"splicer"}, 6, 10, 120, _away(draw, 9, 1)),
        _crew("Electricians", 2, {"electrician"}, 7, 9, 60, _away(draw, 16, 1)),
    ]


def _crew(
    name: str,
    people: int,
    skills: set[str],
    begins: int,
    hours: int,
    overtime: int,
    absences: tuple[Absence, ...] = (),
) -> Crew:
    days = [MONDAY + day * _DAY + 60 * begins for day in range(28) if day % 7 < 6]
    shifts = tuple(Span(start, start + 60 * hours) for start in days)
    return Crew(name, people, frozenset(skills), shifts, absences, overtime)


def _away(draw: Random, day: int, people: int) -> tuple[Absence, ...]:
    start = MONDAY + (day + draw.randrange(2)) * _DAY
    return (Absence(Span(start, start + 2 * _DAY), people),)


def _job(draw: Random, key: str, earlier: list[Job]) -> Job:
    conveyor = f"{draw.choice(LINES)}{draw.randint(1, 10)}"
    skill = _one_of(draw, _TRADES)
    minutes = 15 * draw.choice((2, 3, 4, 4, 6, 6, 8, 8, 10, 12, 16))
    needs_window = draw.random() < 0.9
    of_belt = [one for one in earlier if one.conveyor == conveyor]
    follows = of_belt and draw.random() < 0.12
    return Job(
        key=key,
        conveyor=conveyor,
        minutes=minutes,
        people=draw.choice((1, 2, 2, 2, 3)) if skill != "electrician" else draw.choice((1, 2)),
        skills=frozenset({skill}),
        weight=_one_of(draw, _WEIGHTS),
        isolation=conveyor if needs_window else None,
        earliest=MONDAY + draw.randint(3, 12) * _DAY if draw.random() < 0.08 else None,
        latest=MONDAY + draw.randint(6, 26) * _DAY if draw.random() < 0.45 else None,
        parts_on=MONDAY + draw.randint(2, 16) * _DAY + 360 if draw.random() < 0.15 else None,
        parts_missing="bearing 22220" if draw.random() < 0.01 else "",
        after=frozenset({draw.choice(of_belt).key}) if follows else frozenset(),
        held="waits for people" if draw.random() < 0.01 else "",
    )


def _one_of(draw: Random, choices: tuple[tuple[_One, int], ...]) -> _One:
    return draw.choices([one for one, _many in choices], [many for _one, many in choices])[0]


def _pins(draw: Random, jobs: dict[str, Job], windows: dict[str, Window]) -> dict[str, Placement]:
    """Two mechanics' jobs in each window, side by side at its beginning."""
    pins = {}
    for window in windows.values():
        fitting = [
            job
            for job in jobs.values()
            if job.conveyor in window.conveyors
            and "mechanic" in job.skills
            and job.isolation
            and job.people <= 2
            and not job.after
            and not (job.held or job.parts_missing or job.parts_on or job.earliest)
            and job.minutes <= 180
            and job.key not in pins
        ]
        start = max(window.span.starts, window.span.starts - window.span.starts % _DAY + 420)
        for job in draw.sample(fitting, k=min(2, len(fitting))):
            span = Span(start, start + job.minutes)
            pins[job.key] = Placement(job.key, window.key, "Quay fitters", span)
    return pins


if __name__ == "__main__":
    from tests.workorders.planning.outages import instance_file

    instance_file.FILE.write_text(instance_file.as_text(make_plan()[0]))
