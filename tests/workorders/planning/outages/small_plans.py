"""Small plans: a day window on belt Q30, a day crew, jobs of an hour or two."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from workorders.planning.outages.plan import Absence, Crew, Job, Placement, Plan, Span, Window

# Six in the morning of an invented first day; hours of that day below.
DAY = 0


def at(hour: float) -> int:
    return DAY + round(hour * 60)


def span(starts: float, ends: float) -> Span:
    return Span(at(starts), at(ends))


def window(key: str = "W", starts: float = 6, ends: float = 16, *belts: str) -> Window:
    return Window(key, span(starts, ends), frozenset(belts or ("Q30",)))


def crew(key: str = "day", people: int = 3, **fields: Any) -> Crew:
    shifts = fields.pop("shifts", (span(6, 18),))
    skills = frozenset(fields.pop("skills", {"mechanic"}))
    return Crew(key, people, skills, shifts, **fields)


def job(key: str = "C1", **fields: Any) -> Job:
    defaults = {"conveyor": "Q30", "minutes": 120, "isolation": "Q30"}
    return Job(key, **{**defaults, **fields})


def placed(key: str = "C1", starts: float = 8, ends: float = 10, **where: Any) -> Placement:
    return Placement(key, where.get("window", "W"), where.get("crew", "day"), span(starts, ends))


def plan(*placements: Placement, **parts: Any) -> Plan:
    """With a window W, a crew "day" and a job for each placement, unless others are given."""
    jobs = parts.get("jobs") or [job(one.job) for one in placements]
    return Plan(
        windows={one.key: one for one in parts.get("windows", [window()])},
        crews={one.key: one for one in parts.get("crews", [crew()])},
        jobs={one.key: one for one in jobs},
        placements={one.job: one for one in placements},
    )


def mirrored(whole: Plan) -> Plan:
    """Time runs backwards: what was not before is not after, who waited lets begin."""

    def turn(one: Span) -> Span:
        return Span(-one.ends, -one.starts)

    def turn_at(minute: int | None) -> int | None:
        return None if minute is None else -minute

    lets_begin = {
        key: frozenset(one.key for one in whole.jobs.values() if key in one.after)
        for key in whole.jobs
    }
    return Plan(
        windows={k: replace(w, span=turn(w.span)) for k, w in whole.windows.items()},
        crews={
            k: replace(
                c,
                shifts=tuple(turn(one) for one in c.shifts),
                absences=tuple(Absence(turn(a.span), a.people) for a in c.absences),
            )
            for k, c in whole.crews.items()
        },
        jobs={
            k: replace(
                j, earliest=turn_at(j.latest), latest=turn_at(j.earliest), after=lets_begin[k]
            )
            for k, j in whole.jobs.items()
        },
        placements={k: replace(p, span=turn(p.span)) for k, p in whole.placements.items()},
    )


_hours = st.integers(0, 46).map(lambda half: half / 2)
_spans = st.builds(lambda starts, long: span(starts, starts + long / 2), _hours, st.integers(1, 16))


@st.composite
def any_plans(draw: st.DrawFn) -> Plan:
    """Up to five jobs somehow placed with two crews in two windows or none; no overtime."""
    keys = [f"J{number}" for number in range(draw(st.integers(1, 5)))]
    jobs = [
        job(
            key,
            conveyor=draw(st.sampled_from(["Q30", "Q31"])),
            people=draw(st.integers(1, 3)),
            isolation=draw(st.sampled_from([None, "Q30"])),
            earliest=draw(st.none() | _hours.map(at)),
            latest=draw(st.none() | _hours.map(at)),
            after=frozenset(keys[:place]) if draw(st.booleans()) else frozenset(),
        )
        for place, key in enumerate(keys)
    ]
    crews = [
        crew(
            name,
            draw(st.integers(1, 4)),
            shifts=(span(0, 12), span(14, 30)),
            absences=tuple(
                Absence(one, draw(st.integers(1, 3))) for one in draw(st.lists(_spans, max_size=2))
            ),
        )
        for name in ("day", "night")
    ]
    placements = [
        Placement(
            key,
            draw(st.sampled_from(["W", "V", None])),
            draw(st.sampled_from(["day", "night"])),
            draw(_spans),
        )
        for key in keys
        if draw(st.booleans())
    ]
    windows = [window(), window("V", 10, 20, "Q31")]
    return plan(*placements, jobs=jobs, crews=crews, windows=windows)
