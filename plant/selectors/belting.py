"""A belt with its splices and marks as one value: to be worked out, compared and kept."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from plant.loop.belt_life import Belting, Joint, Spot
from plant.loop.vocabulary import Side
from plant.models import Belt, BeltMark, Splice

SPLICE_FIELDS = ("name", "belt_position_m", "made_on", "note")
MARK_FIELDS = ("kind", "belt_position_m", "length_m", "side", "seen_on", "note")


@dataclass(frozen=True)
class Move:
    """One splice or mark before and after; None where it is not there."""

    is_splice: bool
    name: str
    before: Joint | Spot | None
    after: Joint | Spot | None

    @property
    def is_the_same(self) -> bool:
        return self.before == self.after


def belting_of(belt: Belt) -> Belting:
    """Splices and marks under their own keys; two queries."""
    return Belting(
        length_m=belt.length_m,
        joints=tuple(Joint(one.pk, one.belt_position_m) for one in belt.splices.all()),
        spots=tuple(
            Spot(
                one.pk,
                one.belt_position_m,
                one.length_m or 0.0,
                Side(one.side) if one.side else None,
            )
            for one in belt.marks.all()
        ),
    )


def standing(belt: Belt) -> dict[str, Any]:
    """The same with all that is written down of them, to be kept as JSON; two queries."""
    return {
        "length_m": belt.length_m,
        "splices": [_row(one, SPLICE_FIELDS) for one in belt.splices.order_by("pk")],
        "marks": [_row(one, MARK_FIELDS) for one in belt.marks.order_by("pk")],
    }


def fingerprint(stands: dict[str, Any]) -> str:
    """The same as long as nothing of the belting has changed."""
    return hashlib.sha256(json.dumps(stands, sort_keys=True).encode()).hexdigest()[:32]


def moves(belt: Belt, before: Belting, after: Belting) -> list[Move]:
    """What an operation does to each splice and mark, in the order in which they stood."""
    splices = {one.pk: one.name for one in belt.splices.all()}
    marks = {one.pk: str(one.get_kind_display()) for one in belt.marks.all()}
    found = [*_moves(before.joints, after.joints, splices, is_splice=True)]
    return [*found, *_moves(before.spots, after.spots, marks, is_splice=False)]


def _moves(before: Any, after: Any, names: dict[int, str], *, is_splice: bool) -> Iterator[Move]:
    olds = {one.key: one for one in before}
    seen = set()
    for new in after:
        # The second part of a mark was not there before.
        old = olds.get(new.key) if new.key not in seen else None
        seen.add(new.key)
        yield Move(is_splice, names.get(new.key, str(new.key)), old, new)
    for key, old in olds.items():
        if key not in seen:
            yield Move(is_splice, names[key], old, None)


def _row(one: Splice | BeltMark, fields: tuple[str, ...]) -> dict[str, Any]:
    values = {name: getattr(one, name) for name in fields}
    days = {
        name: value.isoformat() for name, value in values.items() if hasattr(value, "isoformat")
    }
    return {"pk": one.pk, **values, **days}
