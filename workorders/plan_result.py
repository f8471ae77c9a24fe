"""A proposal as it is kept: for each order where it stood, where it would go, and what that is.

Instants are whole minutes since 1970-01-01 UTC, windows and crews their primary keys as text, as in
the plan it was worked out from.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from workorders.planning.outages.clashes import Clash
from workorders.planning.outages.plan import Placement, Plan, Span
from workorders.planning.outages.proposal import Proposal


class Mark(StrEnum):
    """What becomes of an order."""

    NEW = "new"
    MOVED = "moved"
    OFF = "off"
    STAYS = "stays"
    PINNED = "pinned"


# What taking a proposal does something to.
CHANGES = frozenset({Mark.NEW, Mark.MOVED, Mark.OFF})


@dataclass(frozen=True)
class Row:
    """One order with a place now or by proposal; `version` is the one that was looked at."""

    order: str
    version: int
    mark: Mark
    now: Placement | None
    then: Placement | None

    @classmethod
    def from_json(cls, said: Mapping[str, Any]) -> "Row":
        key = said["order"]
        now, then = (_placement(key, said[name]) for name in ("now", "then"))
        return cls(key, said["version"], Mark(said["mark"]), now, then)


def as_json(proposal: Proposal, plan: Plan, versions: Mapping[str, int]) -> dict[str, Any]:
    """What is kept of a proposal; `versions` by order."""
    return {
        "rows": [_row_json(row) for row in rows_of(proposal, plan, versions)],
        "late": _late(proposal, plan),
        "left_out": [asdict(one) for one in proposal.left_out],
        "objectives": [asdict(one) for one in proposal.objectives],
        "stability": asdict(proposal.stability),
        "clashes": [_clash_json(one) for one in proposal.clashes],
        "is_stopped": proposal.is_stopped,
    }


def _late(proposal: Proposal, plan: Plan) -> list[str]:
    """Orders that would end after they are due, those that stand fast included."""
    latest = {key: plan.jobs[key].latest for key in proposal.placements}
    return sorted(
        key
        for key, place in proposal.placements.items()
        if (last := latest[key]) is not None and place.span.ends > last
    )


def rows_of(proposal: Proposal, plan: Plan, versions: Mapping[str, int]) -> list[Row]:
    """In the order of their places; orders without one now and then are left out."""
    keys = {*proposal.placements, *(one.job for one in proposal.left_out)}
    rows = []
    for key in keys:
        job, then = plan.jobs[key], proposal.placements.get(key)
        if job.placed is not None or then is not None:
            mark = _mark(job.placed, then, is_pinned=job.is_pinned)
            rows.append(Row(key, versions[key], mark, job.placed, then))
    return sorted(rows, key=_place)


def _mark(now: Placement | None, then: Placement | None, *, is_pinned: bool) -> Mark:
    if is_pinned:
        return Mark.PINNED
    if now is None:
        return Mark.NEW
    if then is None:
        return Mark.OFF
    return Mark.STAYS if now == then else Mark.MOVED


def _place(row: Row) -> tuple[bool, int, str, str]:
    place = row.then or row.now
    assert place is not None
    return row.then is None, place.span.starts, place.crew, row.order


def _row_json(row: Row) -> dict[str, Any]:
    return {
        "order": row.order,
        "version": row.version,
        "mark": row.mark.value,
        "now": _place_json(row.now),
        "then": _place_json(row.then),
    }


def _place_json(place: Placement | None) -> list[Any] | None:
    if place is None:
        return None
    return [place.window, place.crew, place.span.starts, place.span.ends]


def _placement(key: str, said: list[Any] | None) -> Placement | None:
    if said is None:
        return None
    window, crew, starts, ends = said
    return Placement(key, window, crew, Span(starts, ends))


def _clash_json(clash: Clash) -> dict[str, Any]:
    return {"job": clash.job, "kind": clash.kind.value, "minutes": clash.minutes}
