"""What events are divided by: the exposure that a statistic counts."""

from enum import StrEnum


class Basis(StrEnum):
    RUNNING = "running hours"
    TONNES = "tonnes"
    CALENDAR = "calendar time"
