"""What events are divided by: the exposure that a statistic counts."""

from enum import StrEnum


class Basis(StrEnum):
    RUNNING = "running hours"
    TONNES = "tonnes"
    CALENDAR = "calendar time"

    @property
    def unit(self) -> str:
        """Of amounts: hours, tonnes, days of the calendar."""
        return {Basis.RUNNING: "h", Basis.TONNES: "t", Basis.CALENDAR: "d"}[self]

    @property
    def rate_per(self) -> float:
        """The amount that rates are told in: 1,000 h, 100,000 t, a year. [h, t or d]"""
        return {Basis.RUNNING: 1000.0, Basis.TONNES: 100_000.0, Basis.CALENDAR: 365.25}[self]
