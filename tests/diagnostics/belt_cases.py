"""Cases of a belt written straight into the table, for pages that count them."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from diagnostics.models import Case
from plant.models import Conveyor

OPENED = datetime(2026, 5, 10, 12, tzinfo=UTC)
_numbers = count(1)


def make_case(belt: Conveyor, opened_at: datetime = OPENED, **fields: Any) -> Case:
    return Case.objects.create(conveyor=belt, **_filled(belt, opened_at, fields))


def make_many(belt: Conveyor, how_many: int, **fields: Any) -> Sequence[Case]:
    """One a day."""
    return Case.objects.bulk_create(
        Case(conveyor=belt, **_filled(belt, OPENED - timedelta(days=day), fields))
        for day in range(how_many)
    )


def make_repeat(belt: Conveyor, **fields: Any) -> tuple[Case, Case]:
    """An earlier case with its mend proved on 10 February, and its return."""
    earlier = make_case(
        belt,
        datetime(2026, 2, 1, 12, tzinfo=UTC),
        state="closed",
        proved_at=datetime(2026, 2, 10, 12, tzinfo=UTC),
    )
    return earlier, make_case(belt, repeat_of=earlier, **fields)


def _filled(belt: Conveyor, opened_at: datetime, fields: dict[str, Any]) -> dict[str, Any]:
    defaults = {
        "number": f"{belt.plant.code}-C-{next(_numbers):05d}",
        "summary": "rubs",
        "opened_at": opened_at,
        "zone": "tail",
        "cause_class": "tail_pulley",
        "cause": "tail_pulley_build_up",
    }
    return {**defaults, **fields}
