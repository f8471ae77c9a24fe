"""What is recorded of single idler sets goes with them when their rows are taken apart and joined.

Only inside the transaction that changes the sets, after their rows are written.
"""

from collections.abc import Callable, Sequence
from typing import Any

import pgtrigger
from django.db.models import F

from plant.loop.idler_changes import Outcome
from plant.loop.idler_sets import sets_of
from plant.models import Component, ConditionReading, Conveyor, RollChange
from plant.selectors.idlers import rows_of

# Above every number a set of a row can have: records step aside by it while they change places.
_ASIDE = 1_000_000


def follow(touched: list[int], made: Sequence[Component], outcome: Outcome) -> None:
    """Put readings and roll changes of the sets of these rows where their sets went.

    Those of a set that was taken out say its name, and stay.
    """
    gone = {(one.key, one.place): one for one in outcome.before}
    ways: tuple[tuple[Any, Callable[[Any, Any], None]], ...] = (
        (ConditionReading, _lose_reading),
        (RollChange, _lose_change),
    )
    for model, lose in ways:
        rows = model._default_manager.filter(component__in=touched, set_number__isnull=False)
        found = list(rows)
        # Nobody moved them there: only where they come to stand is news.
        with pgtrigger.ignore(f"plant.{model.__name__}:changed_update"):
            rows.update(set_number=F("set_number") + _ASIDE)
            _write(model, [one for one in found if not _moves(one, made, outcome)])
        moving = [one for one in found if _moves(one, made, outcome)]
        for one in moving:
            here = (one.component_id, one.set_number)
            there = outcome.regrouping.moved.get(here)
            if there is not None:
                one.component, one.set_number = made[there[0]], there[1]
            else:
                lose(one, gone.get(here))
                one.set_number = None
        _write(model, moving)


def take_up_again(conveyor: Conveyor, outcome: Outcome) -> None:
    """Give roll changes back to a set that is put in where it was taken out.

    The same name at the very same millimetre is the same set, unless it was fitted after the roll
    was changed.
    """
    new = next((one for one in outcome.after if one.key is None), None)
    lost = conveyor.roll_changes.filter(set_number__isnull=True)
    if new is None:
        return
    lost = lost.filter(set_name__iexact=new.name, stood_mm=new.at_mm)
    if new.like.fitted_on is not None:
        lost = lost.filter(changed_on__gte=new.like.fitted_on)
    if not lost.exists():
        return
    stands = sets_of(rows_of(conveyor.components.all()))
    here = next(one for one in stands if one.at_mm == new.at_mm and one.run is new.run)
    lost.update(component=here.key, set_number=here.place, stood_mm=None)


def _moves(one: Any, made: Sequence[Component], outcome: Outcome) -> bool:
    there = outcome.regrouping.moved.get((one.component_id, one.set_number))
    return there is None or (made[there[0]].pk, there[1]) != (one.component_id, one.set_number)


def _lose_reading(one: ConditionReading, gone: Any) -> None:
    name = gone.name if gone else ""
    one.spot = f"{name} {one.spot}".strip()[:40]


def _lose_change(one: RollChange, gone: Any) -> None:
    if gone is not None:
        one.set_name, one.stood_mm = gone.name, gone.at_mm


def _write(model: Any, rows: list[Any]) -> None:
    told = ["set_name", "stood_mm"] if model is RollChange else ["spot"]
    model._default_manager.bulk_update(rows, ["component", "set_number", *told])
