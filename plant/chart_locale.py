"""Numbers and days of a chart in the reader's language, as the words beside it have them.

The same stands in the specification that the server draws and that the page draws anew; files of
tables stay as machines read them.
"""

from typing import Any

from django.utils.dates import MONTHS, MONTHS_3, WEEKDAYS, WEEKDAYS_ABBR
from django.utils.formats import get_format
from django.utils.translation import get_language

# Whether the day or the month goes first is never asked: our charts write days as 2026-11-29.
_DAY, _TIME = "%Y-%m-%d", "%H:%M:%S"


def locale() -> dict[str, Any]:
    """What Vega calls a locale: of numbers and of times.

    References
    ----------
    d3-format and d3-time-format, "locale definitions".
    """
    language = get_language()
    grouping = get_format("NUMBER_GROUPING", language)
    first = grouping if isinstance(grouping, int) else grouping[0]
    return {
        "number": {
            "decimal": str(get_format("DECIMAL_SEPARATOR", language)),
            "thousands": str(get_format("THOUSAND_SEPARATOR", language)),
            "grouping": [first or 3],
            "currency": ["", ""],
        },
        "time": {
            "dateTime": f"{_DAY} {_TIME}",
            "date": _DAY,
            "time": _TIME,
            "periods": ["AM", "PM"],
            # Django counts from Monday, Vega from Sunday.
            "days": [str(WEEKDAYS[(day - 1) % 7]) for day in range(7)],
            "shortDays": [str(WEEKDAYS_ABBR[(day - 1) % 7]) for day in range(7)],
            "months": [str(MONTHS[month]) for month in range(1, 13)],
            "shortMonths": [str(MONTHS_3[month]).capitalize() for month in range(1, 13)],
        },
    }
