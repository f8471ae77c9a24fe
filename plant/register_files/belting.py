"""Whether belts, splices and marks can be as a file would leave them, by the register's rules."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from plant.register_files.belt_book import BeltIdentity
from plant.register_files.planned import PlannedRow
from plant.register_files.refusals import Reason
from plant.register_files.standing import StandingConveyor, StandingRow


@dataclass(frozen=True)
class Belting:
    """The belts of one conveyor: what stands, what a file says, and what will be."""

    standing: StandingConveyor | None
    planned: list[PlannedRow]
    identities: list[BeltIdentity]


def check(rows: list[PlannedRow], conveyors: Iterable[Belting], today: date) -> None:
    """Refuse rows about belts, splices and marks that cannot be."""
    places: dict[Hashable, list[PlannedRow]] = {}
    for row in rows:
        if row.sheet in {"splices", "marks"} and "belt" in row.values:
            places.setdefault((row.tag.upper(), row.values["belt"]), []).append(row)
    for one in conveyors:
        _check_belts(one, today)
        for belt in one.identities:
            tag = one.planned[0].tag if one.planned else _tag(one)
            _check_places(one, belt, places.get((tag.upper(), belt.ident), []))


def _tag(belting: Belting) -> str:
    return str(belting.standing.row.values["tag"]) if belting.standing else ""


def _check_belts(belting: Belting, today: date) -> None:
    for plan in belting.planned:
        removed, fitted = plan.values.get("removed_on"), plan.values.get("fitted_on")
        if not plan.writes or not removed:
            continue
        if removed > today:
            plan.reasons.append(Reason("day_to_come", "Taken off"))
        if fitted and removed < fitted:
            plan.reasons.append(Reason("removed_before_fitted", "Taken off"))
    fitted_now = [one for one in belting.identities if one.removed_on is None]
    if len(fitted_now) > 1:
        for plan in belting.planned:
            if plan.writes and not plan.values.get("removed_on"):
                plan.reasons.append(Reason("belt_is_fitted"))


def _check_places(belting: Belting, belt: BeltIdentity, rows: list[PlannedRow]) -> None:
    length_m = belt.length_m
    if length_m is None:
        return
    for row in rows:
        _check_place(row, length_m)
    told = {(row.sheet, row.pk) for row in rows if row.pk}
    left = {
        kind: [one for one in standing.get(belt.ident, []) if (kind, one.pk) not in told]
        for kind, standing in _standing(belting).items()
    }
    stands = [one.values["belt_position_m"] for ones in left.values() for one in ones]
    # A belt made shorter answers for what the file leaves where it is.
    stands += [row.values["belt_position_m"] for row in rows if row.pk and not row.writes]
    beyond = max(stands, default=-1.0)
    if beyond >= length_m:
        for plan in belting.planned:
            if plan.pk and ("belt", plan.pk) == belt.ident and plan.writes:
                plan.reasons.append(Reason("belt_too_short", "Length", {"at": beyond}))
    _check_splices(rows, left["splices"])


def _standing(belting: Belting) -> dict[str, dict[Hashable, list[StandingRow]]]:
    if belting.standing is None:
        return {"splices": {}, "marks": {}}
    return {"splices": belting.standing.splices, "marks": belting.standing.marks}


def _check_place(row: PlannedRow, length_m: float) -> None:
    at_m, long_m = row.values.get("belt_position_m"), row.values.get("length_m")
    if not row.writes:
        return
    if at_m is not None and at_m >= length_m:
        row.reasons.append(Reason("past_belt", "Belt position", {"length": length_m}))
    if row.sheet == "marks" and long_m is not None and long_m > length_m:
        row.reasons.append(Reason("longer_than_belt", "Length", {"length": length_m}))


def _check_splices(rows: list[PlannedRow], left: list[StandingRow]) -> None:
    taken: dict[Any, str] = {one.values["belt_position_m"]: one.values["name"] for one in left}
    splices = [row for row in rows if row.sheet == "splices"]
    # What stays where it is comes first: it is the other one that is in the way.
    for row in sorted(splices, key=lambda one: one.writes):
        at_m = row.values.get("belt_position_m")
        if at_m in taken and row.writes:
            row.reasons.append(
                Reason("splice_stands_there", "Belt position", {"name": taken[at_m]})
            )
        elif at_m is not None:
            taken[at_m] = row.name
