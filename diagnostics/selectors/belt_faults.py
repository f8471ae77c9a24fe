"""The cases of one belt in a period, as its page of recurring faults needs them: one row each."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any, TypeVar
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet
from django.urls import reverse

from diagnostics.models import Case
from diagnostics.selectors import case_rates
from diagnostics.selectors.trends import Period, cases_in
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock
from plant.models import Conveyor, User

Found = TypeVar("Found")
_COLUMNS = (
    "pk",
    "number",
    "opened_at",
    "zone",
    "cause_class",
    "cause",
    "position_m",
    "proved_at",
    "repeat_of__number",
    "repeat_of__proved_at",
)


@dataclass(frozen=True)
class BeltFault:
    """A case; `family`, `zone` and `cause` are empty while nobody confirmed a cause.

    `held_from` is when the case before, which it repeats, passed its proof.
    """

    zone_info: ZoneInfo
    pk: int
    number: str
    opened_at: datetime
    zone: str
    family: str
    cause: str
    position_m: float | None
    proved_at: datetime | None
    repeats_number: str | None
    held_from: datetime | None

    @cached_property
    def on(self) -> date:
        """The day it was opened, in its plant's zone."""
        return self.opened_at.astimezone(self.zone_info).date()

    @property
    def is_repeat(self) -> bool:
        return self.repeats_number is not None

    @property
    def address(self) -> str:
        return reverse("case", args=[self.number])


@dataclass(frozen=True, eq=False)
class BeltStudy:
    """What a person asked to see of a belt: everything on its page is made from this.

    `basis` is the exposure that was asked for, None for the usual; `asked` are all choices as they
    stand in the address, which the files of the page take along.
    """

    conveyor: Conveyor
    cases: QuerySet[Case]
    period: Period
    user: User | AnonymousUser
    now: datetime
    basis: Basis | None
    asked: Mapping[str, str]
    # What several parts of the page need is worked out once.
    _kept: dict[str, Any] = field(default_factory=dict, init=False, repr=False)

    def once(self, key: str, work_out: Callable[["BeltStudy"], Found]) -> Found:
        if key not in self._kept:
            self._kept[key] = work_out(self)
        found: Found = self._kept[key]
        return found

    @cached_property
    def faults(self) -> Sequence[BeltFault]:
        """The first opened first; one query."""
        return tuple(_faults(self.conveyor, self.cases, self.period))

    @cached_property
    def exposure(self) -> tuple[Basis, BeltClock | None]:
        """What cases are divided by, and the belt's clock; None while it was not watched."""
        own = Conveyor.objects.filter(pk=self.conveyor.pk)
        basis, clocks = case_rates.clocks_in(own, self.period, self.basis, self.now)
        return basis, clocks.get(self.conveyor.pk)

    @property
    def repeats(self) -> int:
        return sum(fault.is_repeat for fault in self.faults)

    @property
    def last_on(self) -> date:
        """The period's last day, or today where it goes on; of one to come its first day."""
        today = self.conveyor.plant.day_of(self.now)
        return max(self.period.first, min(self.period.last, today))

    @property
    def query(self) -> str:
        return urlencode(self.asked)

    def page_address(self, **instead: str) -> str:
        """The same page with other choices."""
        address = reverse("conveyor-trend", args=[self.conveyor.plant.code, self.conveyor.tag])
        asked = {**self.asked, **instead}
        return f"{address}?{urlencode(asked)}" if asked else address

    def file_address(self, slug: str) -> str:
        plant_code, tag = self.conveyor.plant.code, self.conveyor.tag
        address = reverse("conveyor-trend-file", args=[plant_code, tag, slug])
        return f"{address}?{self.query}" if self.asked else address


def _faults(conveyor: Conveyor, cases: QuerySet[Case], period: Period) -> Iterator[BeltFault]:
    zone = conveyor.plant.zone_info
    rows = cases_in(cases, period).order_by("opened_at", "pk").values_list(*_COLUMNS)
    for row in rows:
        yield BeltFault(zone, *row)
