"""The large instance as a file: windows, crews and jobs, a line each."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.workorders.planning.outages.instance import HORIZON
from workorders.planning.outages.plan import (
    Absence,
    Crew,
    Job,
    Placement,
    Plan,
    Span,
    Window,
)

FILE = Path(__file__).parents[3] / "bench" / "outage_plan.json"


def as_text(plan: Plan) -> str:
    parts = {"windows": plan.windows, "crews": plan.crews, "jobs": plan.jobs}
    tables = [
        f'"{name}": [\n' + ",\n".join(_row(one) for one in rows.values()) + "\n]"
        for name, rows in parts.items()
    ]
    return "{\n" + ",\n".join(tables) + "\n}\n"


def read(text: str) -> tuple[Plan, Span]:
    said = json.loads(text)
    windows = [_window(row) for row in said["windows"]]
    crews = [_crew(row) for row in said["crews"]]
    jobs = [_job(row) for row in said["jobs"]]
    plan = Plan(
        {one.key: one for one in windows},
        {one.key: one for one in crews},
        {one.key: one for one in jobs},
        {one.key: one.placed for one in jobs if one.placed is not None},
    )
    return plan, HORIZON


def _row(one: Any) -> str:
    """What is not as usual, in one line."""
    return json.dumps({name: value for name, value in asdict(one).items() if value}, default=sorted)


def _window(row: dict[str, Any]) -> Window:
    return Window(row["key"], Span(**row["span"]), frozenset(row["conveyors"]))


def _crew(row: dict[str, Any]) -> Crew:
    return Crew(
        **{
            **row,
            "skills": frozenset(row["skills"]),
            "shifts": tuple(Span(**one) for one in row["shifts"]),
            "absences": tuple(
                Absence(Span(**one["span"]), one["people"]) for one in row.get("absences", ())
            ),
        }
    )


def _job(row: dict[str, Any]) -> Job:
    sets = {name: frozenset(row.get(name, ())) for name in ("skills", "after")}
    placed = row.get("placed")
    if placed is not None:
        placed = Placement(**{"window": None, **placed, "span": Span(**placed["span"])})
    return Job(**{**row, **sets, "placed": placed})
