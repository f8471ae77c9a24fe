"""When what is read at a spot was last made new: part, roll, work on the belt, re-lagging."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from plant.loop.belt_operations import WorkKind
from plant.loop.condition import Quantity
from plant.loop.rolls import RollPlace
from plant.loop.vocabulary import ComponentKind
from plant.models import Belt, BeltWork, Component, Conveyor, RollChange
from plant.roll_words import ROLL_WORDS, roll_words
from workorders.life_subjects import Renewed, renewed_of
from workorders.models import Renewal

# Covers run on the other side afterwards; the belt's length, and with it the travel, differs.
_COVERS = frozenset({WorkKind.FITTED, WorkKind.TURNED})
_TRAVEL = frozenset(
    {WorkKind.FITTED, WorkKind.SPLICED, WorkKind.CUT_OUT, WorkKind.PUT_IN, WorkKind.PUT_BACK}
)


@dataclass(frozen=True)
class SpotKey:
    """One spot where one quantity is read; `spot` as it was written, told apart without case."""

    component_id: int | None
    belt_id: int | None
    set_number: int | None
    spot: str
    quantity: Quantity

    @property
    def plain(self) -> tuple[int | None, int | None, int | None, str, Quantity]:
        return (
            self.component_id,
            self.belt_id,
            self.set_number,
            self.spot.casefold().strip(),
            self.quantity,
        )


class Renewals:
    """Of one conveyor; asked for any number of spots without a query."""

    def __init__(
        self,
        *,
        rolls: Iterable[RollChange],
        works: Iterable[BeltWork],
        renewed: Iterable[Renewal],
    ) -> None:
        self._rolls: dict[tuple[int, int], list[RollChange]] = defaultdict(list)
        for one in rolls:
            if one.component_id is not None and one.set_number is not None:
                self._rolls[one.component_id, one.set_number].append(one)
        self._works = [one for one in works if one.done_on is not None]
        self._renewed = list(renewed)

    def last_of(
        self, key: SpotKey, component: Component | None, belt: Belt | None, today: date
    ) -> date | None:
        """The last day up to today on which something new began there."""
        days = self._days(key, component, belt)
        return max((day for day in days if day <= today), default=None)

    def _days(self, key: SpotKey, component: Component | None, belt: Belt | None) -> Iterator[date]:
        kind = ComponentKind(component.kind) if component else None
        fitted = component.fitted_on if component else belt.fitted_on if belt else None
        if fitted is not None:
            yield fitted
        what = renewed_of(key.quantity, kind)
        if what is Renewed.ROLLS:
            yield from self._of_rolls(key)
        works = {Renewed.COVERS: _COVERS, Renewed.TAKE_UP: _TRAVEL}.get(what, frozenset())
        for work in self._works:
            if work.kind in works and (belt is None or work.belt_id == belt.pk):
                assert work.done_on is not None
                yield work.done_on
        yield from (one.renewed_on for one in self._renewed if _is_of(one, what, key))

    def _of_rolls(self, key: SpotKey) -> Iterator[date]:
        if key.component_id is None or key.set_number is None:
            return
        place = roll_of_spot(key.spot)
        for one in self._rolls[key.component_id, key.set_number]:
            if place is None or one.roll == place.value:
                yield one.changed_on


def renewals_of(conveyor: Conveyor) -> Renewals:
    """Three queries."""
    return Renewals(
        rolls=conveyor.roll_changes.filter(undone_at__isnull=True).order_by(),
        works=BeltWork.objects.filter(belt__conveyor=conveyor, undone_at__isnull=True).order_by(),
        renewed=Renewal.objects.counting().filter(conveyor=conveyor).order_by(),
    )


def roll_of_spot(spot: str) -> RollPlace | None:
    """The roll that a spot names; None when it names none, which may be any."""
    return _names().get(" ".join(spot.casefold().replace("_", " ").split()))


def begin_of(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of a day at the plant."""
    return datetime.combine(day, time.min, zone)


def _names() -> dict[str, RollPlace]:
    found = {one.value.replace("_", " "): one for one in RollPlace}
    found |= {str(words).casefold(): one for one, words in ROLL_WORDS.items()}
    found |= {
        roll_words(one.value, 2).casefold(): one
        for one in (RollPlace.LEFT_WING, RollPlace.RIGHT_WING)
    }
    return found | {
        "centre": RollPlace.CENTRE,
        roll_words("centre", 1).casefold(): RollPlace.CENTRE,
    }


def _is_of(one: Renewal, what: Renewed, key: SpotKey) -> bool:
    same_part = (one.component_id, one.belt_id) == (key.component_id, key.belt_id)
    same_set = one.set_number is None or one.set_number == key.set_number
    same_spot = not one.spot or one.spot.casefold().strip() == key.spot.casefold().strip()
    return one.what == what.value and same_part and same_set and same_spot
