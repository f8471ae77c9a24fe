"""The rows of a file held against the register: new, changed, unchanged, refused and why."""

import difflib
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from plant.loop.condition import Quantity
from plant.register_files import belting, loops, rolls
from plant.register_files.belt_book import BeltIdentity, find_belt, pair_belts
from plant.register_files.cells import plain
from plant.register_files.columns import Sheet
from plant.register_files.planned import PlannedRow, settle
from plant.register_files.reading import ParsedFile, ParsedRow, ParsedSheet
from plant.register_files.refusals import Reason
from plant.register_files.standing import Register, StandingConveyor, StandingRow

# Checks one row by what the register asks of each of its fields.
Check = Callable[[str, dict[str, Any], set[str] | None], list[Reason]]
Tick = Callable[[int], None]


@dataclass
class _Conveyor:
    """A conveyor as it will be: what stands, and what the file says of it so far."""

    tag: str
    standing: StandingConveyor | None
    components: dict[str, PlannedRow] = field(default_factory=dict)
    belts: list[PlannedRow] = field(default_factory=list)
    identities: list[BeltIdentity] | None = None
    values: dict[str, Any] = field(default_factory=dict)


class Comparison:
    """Made for one file; `plan` is to be called once."""

    def __init__(
        self, register: Register, check: Check, today: date, tick: Tick = lambda _rows: None
    ) -> None:
        self.register, self.check, self.today, self.tick = register, check, today, tick
        self._conveyors = {
            tag: _Conveyor(one.row.values["tag"], one, values=one.row.values)
            for tag, one in register.conveyors.items()
        }
        self._seen: dict[Hashable, int] = {}
        self._nearest: dict[str, str] = {}
        self._places = {plain(name) for name in register.plant_names}

    def plan(self, parsed: ParsedFile) -> list[PlannedRow]:
        """Every row of the file, in its order."""
        ways = {
            "conveyors": self._plan_conveyor,
            "components": self._plan_component,
            "splices": self._plan_splice,
            "marks": self._plan_mark,
            "readings": self._plan_reading,
            "rolls": self._plan_roll,
        }
        planned: list[PlannedRow] = []
        for one in parsed.sheets:
            if one.sheet.code == "belts":
                planned += self._plan_belts(one)
                continue
            way = ways[one.sheet.code]
            for row in one.rows:
                planned.append(way(one.sheet, row))
                if not len(planned) % 500:
                    self.tick(len(planned))
            if one.sheet.code == "components":
                for conveyor in self._conveyors.values():
                    loops.check(conveyor.standing, conveyor.components)
        belting.check(planned, self._belting(), self.today)
        return planned

    def _belting(self) -> list[belting.Belting]:
        return [
            belting.Belting(one.standing, one.belts, self._belts_of(one))
            for one in self._conveyors.values()
        ]

    def _plan_conveyor(self, sheet: Sheet, row: ParsedRow) -> PlannedRow:
        tag = row.values.get("tag") or ""
        plan = self._begun(sheet, row, tag)
        known = self._conveyors.get(tag.upper())
        standing = known.standing if known else None
        if known is None and tag:
            self._conveyors[tag.upper()] = _Conveyor(tag, None)
        if standing:
            row.values["tag"] = plan.tag = standing.row.values["tag"]
        self._finish(plan, sheet, row, standing.row if standing else None, tag.upper())
        plan.name = plan.values.get("name") or ""
        if tag:
            self._conveyors[tag.upper()].values = plan.values
        return plan

    def _plan_component(self, sheet: Sheet, row: ParsedRow) -> PlannedRow:
        plan = self._begun(sheet, row, row.values.get("conveyor") or "")
        conveyor = self._conveyor_of(plan)
        if conveyor is None:
            return plan
        key = (row.values.get("name") or "").upper()
        standing = conveyor.standing.components.get(key) if conveyor.standing else None
        if standing:
            row.values["name"] = standing.values["name"]
        plan.name = row.values.get("name") or ""
        self._finish(plan, sheet, row, standing, (plan.tag.upper(), key))
        if not any(reason.code == "row_twice" for reason in plan.reasons):
            conveyor.components[key] = plan
        return plan

    def _plan_belts(self, sheet: ParsedSheet) -> list[PlannedRow]:
        planned, by_conveyor = [], dict[str, list[tuple[PlannedRow, ParsedRow]]]()
        for row in sheet.rows:
            plan = self._begun(sheet.sheet, row, row.values.get("conveyor") or "")
            planned.append(plan)
            if self._conveyor_of(plan):
                by_conveyor.setdefault(plan.tag.upper(), []).append((plan, row))
        for tag, rows in by_conveyor.items():
            self._plan_belts_of(self._conveyors[tag], sheet.sheet, rows)
        return planned

    def _plan_belts_of(
        self, conveyor: _Conveyor, sheet: Sheet, rows: list[tuple[PlannedRow, ParsedRow]]
    ) -> None:
        standing = conveyor.standing.belts if conveyor.standing else []
        asked = [
            {
                "name": row.values.get("name") or "",
                "fitted_on": row.values.get("fitted_on"),
                "removed_on": row.values.get("removed_on"),
            }
            for _plan, row in rows
        ]
        pairs = pair_belts([one.values for one in standing], asked)
        for (plan, row), marks, pair in zip(rows, asked, pairs, strict=True):
            key = (conveyor.tag.upper(), *marks.values())
            plan.name = str(marks["name"])
            self._finish(plan, sheet, row, None if pair is None else standing[pair], key)
            conveyor.belts.append(plan)

    def _plan_splice(self, sheet: Sheet, row: ParsedRow) -> PlannedRow:
        plan, conveyor, belt = self._on_belt(sheet, row)
        plan.name = row.values.get("name") or ""
        if conveyor is None or belt is None:
            return plan
        key = plan.name.upper()
        rows = self._under(conveyor, "splices", belt.ident)
        standing = next((one for one in rows if one.values["name"].upper() == key), None)
        if standing:
            row.values["name"] = standing.values["name"]
        self._finish(plan, sheet, row, standing, (plan.tag.upper(), belt.ident, key))
        plan.values["belt"] = belt.ident
        return plan

    def _plan_mark(self, sheet: Sheet, row: ParsedRow) -> PlannedRow:
        plan, conveyor, belt = self._on_belt(sheet, row)
        if conveyor is None or belt is None:
            return plan
        key = _mark_key(row.values)
        rows = self._under(conveyor, "marks", belt.ident)
        standing = next((one for one in rows if _mark_key(one.values) == key), None)
        plan.name = f"{row.values.get('kind') or ''} {row.values.get('belt_position_m')} m".strip()
        self._finish(plan, sheet, row, standing, (plan.tag.upper(), belt.ident, key))
        plan.values["belt"] = belt.ident
        return plan

    def _plan_reading(self, sheet: Sheet, row: ParsedRow) -> PlannedRow:
        name, quantity = row.values.get("component"), row.values.get("quantity")
        if not quantity:
            return self._begun(sheet, row, row.values.get("conveyor") or "")
        is_of_belt = Quantity(str(quantity)).is_of_belt
        if not is_of_belt or name:
            return self._reading_of_component(sheet, row, str(name or ""), is_of_belt)
        plan, conveyor, belt = self._on_belt(sheet, row)
        plan.name = row.values.get("belt") or ""
        if conveyor is None or belt is None:
            return plan
        owner = ("belt", belt.ident)
        self._settle_reading(plan, sheet, row, conveyor, owner)
        plan.values["belt"], plan.values["component"] = belt.ident, None
        return plan

    def _reading_of_component(
        self, sheet: Sheet, row: ParsedRow, name: str, is_of_belt: bool
    ) -> PlannedRow:
        plan = self._begun(sheet, row, row.values.get("conveyor") or "")
        plan.name = name
        conveyor = self._conveyor_of(plan)
        if conveyor is None:
            return plan
        if is_of_belt:
            plan.reasons.append(Reason("read_on_belts"))
            return plan
        key = name.upper()
        standing = conveyor.standing.components if conveyor.standing else {}
        if key not in standing and key not in conveyor.components:
            plan.reasons.append(_unknown_component(name, [*standing, *conveyor.components]))
            return plan
        owner = ("component", key)
        self._settle_reading(plan, sheet, row, conveyor, owner)
        final = conveyor.components.get(key) or standing.get(key)
        number = row.values.get("set_number")
        if final and number and number > (final.values.get("count") or 1):
            plan.reasons.append(Reason("no_such_set", values={"count": final.values["count"]}))
        plan.values["component"], plan.values["belt"] = key, None
        return plan

    def _plan_roll(self, sheet: Sheet, row: ParsedRow) -> PlannedRow:
        plan = self._begun(sheet, row, row.values.get("conveyor") or "")
        conveyor = self._conveyor_of(plan)
        if conveyor is None:
            return plan
        name, gone = row.values.get("component") or "", row.values.get("set_name") or ""
        plan.name = name or gone
        key = name.upper()
        standing = conveyor.standing.components if conveyor.standing else {}
        final = conveyor.components.get(key) or standing.get(key)
        if final is None and (name or not gone):
            plan.reasons.append(_unknown_component(name, [*standing, *conveyor.components]))
            return plan
        if final is not None and not gone and row.values.get("set_number") is None:
            # Of a component that is one set it need not be said which.
            row.values["set_number"] = 1 if final.values.get("count") == 1 else None
        owner = ("component", key or None)
        rows = self._under(conveyor, "rolls", owner)
        known = next((one for one in rows if _roll_key(one.values) == _roll_key(row.values)), None)
        self._finish(plan, sheet, row, known, (plan.tag.upper(), owner, _roll_key(row.values)))
        if final is not None and plan.is_new:
            plan.reasons += rolls.reasons(final.values, conveyor.values, row.values)
        plan.values["component"], plan.values["belt"] = key or None, None
        return plan

    def _settle_reading(
        self, plan: PlannedRow, sheet: Sheet, row: ParsedRow, conveyor: _Conveyor, owner: Hashable
    ) -> None:
        key = _reading_key(row.values)
        rows = self._under(conveyor, "readings", owner)
        standing = next((one for one in rows if _reading_key(one.values) == key), None)
        self._finish(plan, sheet, row, standing, (plan.tag.upper(), owner, key))

    def _begun(self, sheet: Sheet, row: ParsedRow, tag: str) -> PlannedRow:
        plan = PlannedRow(sheet.code, row.number, tag, reasons=list(row.reasons))
        said = row.values.get("plant")
        if said and plain(said) not in self._places:
            plan.reasons.append(
                Reason("other_plant", values={"plant": said, "this": self.register.plant_names[0]})
            )
        return plan

    def _conveyor_of(self, plan: PlannedRow) -> _Conveyor | None:
        found = self._conveyors.get(plan.tag.upper())
        if found:
            plan.tag = found.tag
        elif plan.tag:
            values = {"tag": plan.tag, "near": self._near(plan.tag)}
            plan.reasons.append(Reason("unknown_conveyor", values=values))
        return found

    def _near(self, tag: str) -> str:
        if tag not in self._nearest:
            known = {plain(one).replace(" ", ""): one for one in self._all_tags()}
            near = difflib.get_close_matches(plain(tag).replace(" ", ""), list(known), 1, 0.6)
            self._nearest[tag] = known[near[0]] if near else ""
        return self._nearest[tag]

    def _all_tags(self) -> set[str]:
        return {*self.register.tags, *(one.tag for one in self._conveyors.values())}

    def _on_belt(
        self, sheet: Sheet, row: ParsedRow
    ) -> tuple[PlannedRow, _Conveyor | None, BeltIdentity | None]:
        plan = self._begun(sheet, row, row.values.get("conveyor") or "")
        conveyor = self._conveyor_of(plan)
        if conveyor is None:
            return plan, None, None
        found = find_belt(
            self._belts_of(conveyor),
            row.values.get("belt"),
            row.values.get("belt_fitted_on"),
            row.values.get("belt_removed_on"),
        )
        if isinstance(found, Reason):
            plan.reasons.append(found)
            return plan, conveyor, None
        return plan, conveyor, found

    def _belts_of(self, conveyor: _Conveyor) -> list[BeltIdentity]:
        """The belts as they will be; all rows about belts were planned before these are asked."""
        if conveyor.identities is None:
            told = {plan.pk for plan in conveyor.belts if plan.pk}
            rows = conveyor.standing.belts if conveyor.standing else []
            left = [(("belt", one.pk), one.values) for one in rows if one.pk not in told]
            asked = [
                (("belt", plan.pk) if plan.pk else ("row", plan.number), plan.values)
                for plan in conveyor.belts
            ]
            conveyor.identities = [
                BeltIdentity(
                    ident,
                    values.get("name") or "",
                    values.get("fitted_on"),
                    values.get("removed_on"),
                    values.get("length_m"),
                )
                for ident, values in (*left, *asked)
            ]
        return conveyor.identities

    def _under(self, conveyor: _Conveyor, kind: str, owner: Hashable) -> list[StandingRow]:
        rows: dict[Hashable, list[StandingRow]] = (
            getattr(conveyor.standing, kind) if conveyor.standing else {}
        )
        return rows.get(owner, [])

    def _finish(
        self,
        plan: PlannedRow,
        sheet: Sheet,
        row: ParsedRow,
        standing: StandingRow | None,
        key: Hashable,
    ) -> None:
        before = self._seen.setdefault((sheet.code, key), row.number)
        if before != row.number:
            plan.reasons.append(Reason("row_twice", values={"other": before}))
        plan.pk = standing.pk if standing else None
        settle(plan, sheet, row, standing.values if standing else None)
        if plan.writes and not plan.reasons:
            told = None if plan.is_new else {name for name, _old, _new in plan.changes}
            plan.reasons += self.check(sheet.code, plan.values, told)


def _mark_key(values: dict[str, Any]) -> tuple[Any, ...]:
    at = values.get("belt_position_m")
    return (
        values.get("kind"),
        None if at is None else round(at, 6),
        values.get("side") or "",
        values.get("seen_on"),
    )


def _reading_key(values: dict[str, Any]) -> tuple[Any, ...]:
    taken = values.get("taken_at")
    return (
        values.get("set_number"),
        (values.get("spot") or "").casefold(),
        values.get("quantity"),
        taken and taken.replace(microsecond=0).timestamp(),
    )


def _roll_key(values: dict[str, Any]) -> tuple[Any, ...]:
    number = values.get("set_number")
    gone = (values.get("set_name") or "").casefold() if number is None else ""
    return (number, gone, values.get("roll"), values.get("changed_on"))


def _unknown_component(name: str, known: list[str]) -> Reason:
    if not name:
        return Reason("component_needed")
    near = difflib.get_close_matches(name.upper(), known, 1, 0.6)
    return Reason("unknown_component", values={"name": name, "near": near[0] if near else ""})
