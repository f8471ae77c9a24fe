"""Which belt of a conveyor a row means, by name and days; none of them: the one that is on."""

from collections.abc import Hashable
from dataclasses import dataclass
from datetime import date
from typing import Any

from plant.register_files.refusals import Reason

_FIELDS = ("name", "fitted_on", "removed_on")


@dataclass(frozen=True)
class BeltIdentity:
    """`ident` is the same for every row that means this belt; `length_m` None: not known."""

    ident: Hashable
    name: str
    fitted_on: date | None
    removed_on: date | None
    length_m: float | None

    @property
    def marks(self) -> tuple[Any, ...]:
        return self.name.casefold(), self.fitted_on, self.removed_on


def find_belt(
    belts: list[BeltIdentity], name: str | None, fitted_on: date | None, removed_on: date | None
) -> BeltIdentity | Reason:
    """The one belt that is meant, or why it cannot be told."""
    wanted = ((name or "").casefold(), fitted_on, removed_on)
    if wanted == ("", None, None):
        found = [one for one in belts if one.removed_on is None]
    else:
        found = [one for one in belts if one.marks == wanted]
        if not found:
            found = [one for one in belts if _fits(one, wanted)]
    if len(found) == 1:
        return found[0]
    if found:
        return Reason("belts_alike", values={"count": len(found)})
    if wanted == ("", None, None):
        return Reason("no_belt_fitted")
    known = ", ".join(one.name for one in belts if one.name)
    return Reason("unknown_belt", values={"belt": name or "", "known": known})


def _fits(belt: BeltIdentity, wanted: tuple[Any, ...]) -> bool:
    return all(not asked or has == asked for has, asked in zip(belt.marks, wanted, strict=True))


def pair_belts(standing: list[dict[str, Any]], asked: list[dict[str, Any]]) -> list[int | None]:
    """For each belt of a file the standing one it is, by its place in the list, or None.

    Alike in name and both days comes first, then in name and day of fitting, then in name alone
    when no other belt has it.
    """
    pairs: list[int | None] = [None] * len(asked)
    free = set(range(len(standing)))
    for fields in (_FIELDS, _FIELDS[:2], _FIELDS[:1]):
        for place, one in enumerate(asked):
            if pairs[place] is not None:
                continue
            near = [other for other in sorted(free) if _alike(standing[other], one, fields)]
            alone = (
                len(near) == 1 and one["name"] and _only(asked, one) if len(fields) < 3 else near
            )
            if near and alone:
                pairs[place] = near[0]
                free.discard(near[0])
    return pairs


def _alike(one: dict[str, Any], other: dict[str, Any], fields: tuple[str, ...]) -> bool:
    return all(_plain(one[field]) == _plain(other[field]) for field in fields)


def _only(belts: list[dict[str, Any]], one: dict[str, Any]) -> bool:
    return sum(_plain(belt["name"]) == _plain(one["name"]) for belt in belts) == 1


def _plain(value: Any) -> Any:
    return value.casefold() if isinstance(value, str) else value
