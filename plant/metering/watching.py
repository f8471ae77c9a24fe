"""Since when a belt has been under watch: from when on its faults could be written down.

Not since it was fitted: what happened to a belt before anybody kept its record is in no record,
and time without a record is no time without faults.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

# A register is filled over some days; belts entered later came later. Engineering judgement.
SETTING_UP = timedelta(days=30)


@dataclass(frozen=True)
class Records:
    """When something was entered in the register, and the first that was recorded of it."""

    entered_at: datetime
    first_record_at: datetime | None = None

    @property
    def begin(self) -> datetime:
        return min(self.entered_at, self.first_record_at or self.entered_at)


def watched_since(belt: Records, plant: Records) -> datetime | None:
    """From when on a belt's exposure counts.

    Parameters
    ----------
    belt, plant : Records
        Of the belt, and the earliest ones of all belts of its plant.

    Returns
    -------
    datetime or None
        Of a belt that came when the plant's register stood already: its own entry, or its first
        record before that. Of the others: when the register was set up; None where records were
        brought along from before, and nobody can say since when they are complete.
    """
    if belt.entered_at - plant.entered_at > SETTING_UP:
        return belt.begin
    if plant.entered_at - plant.begin > SETTING_UP:
        return None
    return plant.begin


def earliest(one: Records, other: Records) -> Records:
    """Of two, the earlier entry and the earlier first record."""
    firsts = [at for at in (one.first_record_at, other.first_record_at) if at is not None]
    return Records(min(one.entered_at, other.entered_at), min(firsts, default=None))
