"""Wear as its pages show it: rows of figures in words, the drawing, the table beside it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from plant.chart_view import NARROW_PX, WIDE_PX, Cell, ChartView
from plant.keys_typed import key_in
from plant.loop.condition import Quantity
from plant.loop.vocabulary import ComponentKind
from plant.meter_words import figure_words
from plant.models.condition_reading import QUANTITY_WORDS
from workorders import wear_words
from workorders.life_subjects import Renewed, renewed_of
from workorders.planning.wear import WearState
from workorders.selectors.wear import SpotWear
from workorders.wear_charts import ChartWords, wear_chart


@dataclass(frozen=True)
class WearRow:
    """One spot; texts are empty where there is nothing to say."""

    spot: SpotWear
    what: str
    last: str
    limit: str
    state: str
    is_past: bool
    met: str
    span: str
    is_running: bool


def row_of(spot: SpotWear) -> WearRow:
    quantity = spot.key.quantity
    return WearRow(
        spot,
        str(QUANTITY_WORDS[quantity]),
        figure_words(spot.last.value, quantity.unit) if spot.last else "",
        wear_words.limit_words(spot.limit, quantity),
        wear_words.state_words(spot),
        spot.wear is not None and spot.wear.state is WearState.PAST_LIMIT,
        wear_words.day_words(spot.met_on),
        wear_words.span_words(spot.met_from, spot.met_until) if spot.met_on else "",
        spot.clock.is_running,
    )


def soonest_first(spots: Iterable[SpotWear]) -> list[SpotWear]:
    """What has met its limit first, then by the day it will; what has no day at the end."""

    def when(spot: SpotWear) -> tuple[int, date]:
        if spot.wear is not None and spot.wear.state is WearState.PAST_LIMIT:
            return 0, date.min
        return (1, spot.met_on) if spot.met_on else (2, date.max)

    return sorted(spots, key=when)


def narrowed(spots: Iterable[SpotWear], of: str) -> list[SpotWear]:
    """Those of one component, by its key; all where none is named."""
    key = key_in(of)
    return [one for one in spots if key is None or one.key.component_id == key]


def renewed_at(spot: SpotWear) -> Renewed:
    kind = ComponentKind(spot.component.kind) if spot.component else None
    return renewed_of(spot.key.quantity, kind)


def page_of(spot: SpotWear, now: datetime) -> dict[str, Any]:
    """What the page of one spot shows beside its row."""
    what = renewed_at(spot)
    return {
        "rate": wear_words.rate_words(spot),
        "remaining": wear_words.remaining_words(spot),
        "basis": wear_words.basis_words(spot),
        "scope": wear_words.scope_words(spot.limit),
        "remarks": list(wear_words.remarks_of(spot)),
        "chart": _chart(spot, now),
        "readings": _readings(spot),
        "may_be_renewed": what is not Renewed.ROLLS,
        "is_of_rolls": what is Renewed.ROLLS,
        "mark": _("set aside"),
    }


def _readings(spot: SpotWear) -> list[dict[str, Any]]:
    """The newest first; whether each is on the line or set aside."""
    aside = {(one.at, one.value) for one in spot.wear.set_aside} if spot.wear else set()
    unit = spot.key.quantity.unit
    return [
        {
            "at": one.at,
            "value": figure_words(one.value, unit),
            "hours": one.hours if spot.clock.is_running else None,
            "is_aside": (one.hours, one.value) in aside,
        }
        for one in reversed(spot.taken)
    ]


def _chart(spot: SpotWear, now: datetime) -> ChartView | None:
    if spot.wear is None or not spot.taken:
        return None
    quantity: Quantity = spot.key.quantity
    title = f"{QUANTITY_WORDS[quantity]} [{quantity.unit}]"
    words = ChartWords(
        axis=title,
        limit=_("limit"),
        today=_("today"),
        taken=_("taken"),
        reading=_("reading"),
        used=_("used"),
        aside=_("set aside"),
    )
    wide, narrow = (wear_chart(spot, words, now, width=width) for width in (WIDE_PX, NARROW_PX))
    header, rows = _table(spot, now, title)
    caption = _("Dots: readings; hollow diamond: set aside. Broken line: the limit; thick on it, "
                "the days on which it may be met.")  # fmt: skip
    return ChartView(
        "wear", _("The line"), wide, header, rows, caption, narrow_spec=narrow, zooms=True
    )


def _table(spot: SpotWear, now: datetime, title: str) -> tuple[list[str], list[list[Cell]]]:
    """Each reading by the plant's clock, the newest first."""
    aside = {(one.at, one.value) for one in spot.wear.set_aside} if spot.wear else set()
    is_running = spot.clock.is_running
    header = [_("taken"), title, *([_("running hours")] if is_running else []), _("used")]
    return header, [
        [
            f"{one.at.astimezone(now.tzinfo):%Y-%m-%d %H:%M}",
            one.value,
            *([round(one.hours)] if is_running else []),
            _("set aside") if (one.hours, one.value) in aside else _("yes"),
        ]
        for one in reversed(spot.taken)
    ]
