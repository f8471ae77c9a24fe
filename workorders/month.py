"""A month of the calendar, as lists and reports count them; pure."""

import re
from dataclasses import dataclass
from datetime import date, timedelta

_CODE = re.compile(r"(\d{4})-(\d{2})", re.ASCII)
# What plants' records can hold, see plant/days.py.
_FIRST_YEAR, _LAST_YEAR = 1950, 2199


@dataclass(frozen=True, order=True)
class Month:
    year: int
    number: int

    @classmethod
    def of(cls, day: date) -> "Month":
        return cls(day.year, day.month)

    @classmethod
    def read(cls, code: str) -> "Month":
        """From `2026-10`; ValueError for anything else and for years that no record holds."""
        found = _CODE.fullmatch(code)
        if found is None or not 1 <= int(found[2]) <= 12:
            raise ValueError(f"a month is written like 2026-10, got {code!r}")
        if not _FIRST_YEAR <= int(found[1]) <= _LAST_YEAR:
            raise ValueError(f"a month lies between {_FIRST_YEAR} and {_LAST_YEAR}, got {code!r}")
        return cls(int(found[1]), int(found[2]))

    @property
    def code(self) -> str:
        return f"{self.year}-{self.number:02d}"

    @property
    def first(self) -> date:
        return date(self.year, self.number, 1)

    @property
    def last(self) -> date:
        return self.ahead(1).first - timedelta(days=1)

    def ahead(self, months: int) -> "Month":
        whole = self.year * 12 + self.number - 1 + months
        return Month(whole // 12, whole % 12 + 1)
