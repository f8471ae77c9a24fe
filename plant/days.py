"""Days that a plant's records can hold: what people may type into a date."""

import math
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

# Wide enough for any belt's life; time zones cannot carry these over the calendar's ends.
FIRST_DAY, LAST_DAY = date(1950, 1, 1), date(2199, 12, 31)


def whole_days(days: float) -> int:
    """Days that are over, as every page shows how long something held.

    Never rounded up: a mend that came back after 179.6 days has not held for 180.
    """
    return math.floor(days)


def check_day(value: date | datetime) -> None:
    """A form's validator: refuses what lies outside the records' calendar."""
    day = value.date() if isinstance(value, datetime) else value
    if not FIRST_DAY <= day <= LAST_DAY:
        raise ValidationError(_("Give a day between 1950 and 2199."), code="day_out_of_bounds")
