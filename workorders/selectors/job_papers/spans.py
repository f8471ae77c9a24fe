"""Times of work as a sheet says them: in the plant's own time, the zone named once."""

from datetime import datetime

from django.utils import formats, timezone

from plant.models import Plant
from plant.templatetags.sheet import plant_time

_DASH = "\N{EN DASH}"


def span_words(starts_at: datetime | None, ends_at: datetime | None, plant: Plant) -> str:
    """`2026-11-03 06:00–14:00 AST`; the day is said again where the span ends on another."""
    if starts_at is None:
        return ""
    if ends_at is None:
        return plant_time(starts_at, plant)
    first, last = (timezone.localtime(one, plant.zone_info) for one in (starts_at, ends_at))
    begins = formats.date_format(first, "Y-m-d H:i")
    same_day, same_zone = first.date() == last.date(), f"{first:%Z}" == f"{last:%Z}"
    if not same_zone:
        return f"{plant_time(starts_at, plant)} {_DASH} {plant_time(ends_at, plant)}"
    ends = formats.date_format(last, "H:i" if same_day else "Y-m-d H:i")
    between = _DASH if same_day else f" {_DASH} "
    return f"{begins}{between}{ends}\N{NO-BREAK SPACE}{last:%Z}"
