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
