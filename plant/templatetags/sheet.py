"""Words for sides, offsets and times, the same on every page."""

import math
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.utils import formats, timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from plant import access, days, navigation
from plant.loop.vocabulary import Side
from plant.models import Conveyor, Plant, User
from plant.roles import ROLE_WORDS

register = template.Library()

# A figure and its unit stay on one line.
_UNIT_SPACE = "\N{NO-BREAK SPACE}"


@register.filter
def beside(headings: Iterable[Any], cells: Iterable[Any]) -> list[tuple[Any, Any]]:
    """Each cell of a row with its column's heading, for tables whose columns are data."""
    return list(zip(headings, cells, strict=True))


@register.filter
def side_words(side: str, conveyor: Conveyor | None = None) -> str:
    """`right (sea side)`: the side with the conveyor's own word; empty stays empty."""
    if not side:
        return ""
    word = _("right") if Side(side) is Side.RIGHT else _("left")
    own = conveyor.words_for(side) if conveyor else ""
    return f"{word} ({own})" if own else word


@register.filter
def offset_words(offset_mm: float | None, conveyor: Conveyor | None = None) -> str:
    """`35 mm right (sea side)`; offsets are positive to the right."""
    if offset_mm is None:
        return ""
    size = formats.number_format(round(abs(offset_mm)), use_l10n=True)
    if round(offset_mm) == 0:
        return f"{size}{_UNIT_SPACE}mm"
    return f"{size}{_UNIT_SPACE}mm {side_words(Side.of(offset_mm).value, conveyor)}"


@register.filter
def plant_time(moment: datetime | None, plant: Plant | None = None) -> str:
    """A stored instant in the plant's own zone, with the zone's short name."""
    if moment is None:
        return ""
    zone = plant.zone_info if plant else ZoneInfo("UTC")
    local = timezone.localtime(moment, zone)
    return f"{formats.date_format(local, 'Y-m-d H:i')}{_UNIT_SPACE}{local:%Z}"


@register.filter
def plant_date(moment: datetime | None, plant: Plant | None = None) -> str:
    """The plant's calendar day of a stored instant."""
    if moment is None:
        return ""
    zone = plant.zone_info if plant else ZoneInfo("UTC")
    return formats.date_format(timezone.localtime(moment, zone), "Y-m-d")


@register.filter
def plant_day(moment: datetime | None, plant: Plant | None = None) -> str:
    """The plant's day in words: `Wednesday 25 November 2026`."""
    if moment is None:
        return ""
    zone = plant.zone_info if plant else ZoneInfo("UTC")
    return formats.date_format(timezone.localtime(moment, zone), "l j F Y")


@register.simple_tag
def today_at(plant: Plant) -> str:
    return formats.date_format(plant.day_of(timezone.now()), "Y-m-d")


@register.filter
def role_words(person: User) -> list[str | Promise]:
    return [ROLE_WORDS[role] for role in access.roles_by_group(person)]


@register.filter
def whole_minutes(span: timedelta) -> int:
    return math.ceil(span.total_seconds() / 60)


@register.filter
def whole_days(figure: float | None) -> str:
    """Days that are over, in the reader's format; see plant/days.py."""
    return "" if figure is None else formats.number_format(days.whole_days(figure), 0)


@register.filter
def metres(position_m: float | None) -> str:
    if position_m is None:
        return ""
    # Rounded first: number_format cuts digits off.
    return f"{formats.number_format(round(position_m, 1), 1)}{_UNIT_SPACE}m"


@register.filter
def percent(probability: float | None) -> str:
    """A probability for reading: whole per cent, `under 1 %` below."""
    if probability is None:
        return ""
    if 0 < probability < 0.01:
        return _("under 1 %")
    return f"{round(probability * 100)}{_UNIT_SPACE}%"


@register.simple_tag(takes_context=True)
def panels(context: template.Context, page: str, row: object = None) -> list[dict[str, Any]]:
    """The registered parts of a shared page; show each with `{% show_panel %}`."""
    return navigation.panels(page, context["request"], row)


@register.simple_tag(takes_context=True)
def show_panel(context: template.Context, panel: dict[str, Any]) -> str:
    """One part of a shared page, with what its room gave it to say."""
    assert context.template is not None
    drawn = context.template.engine.get_template(panel["template"])
    with context.push(**panel["context"]):
        return drawn.render(context)
