"""What one row says of an order, once its words are ours."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from zoneinfo import ZoneInfo

from workorders.order_states import OrderState
from workorders.status_files.refusals import FileRefused, RowRefused

NUMBER, EXTERNAL = "number", "external_number"
# Each column with the longest text it takes, in the order in which the page explains them.
COLUMNS = {
    "id": 120,
    NUMBER: 24,
    EXTERNAL: 80,
    "version": 9,
    "state": 60,
    "planned_for": 40,
    "why": 400,
    "hours": 12,
    "day": 10,
    "worker": 150,
    "note": 2000,
    "set_external_number": 80,
}
_SAYS_SOMETHING = ("state", "hours", "note", "set_external_number")
_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True)
class Said:
    """Empty and None: not said."""

    id: str
    number: str
    external_number: str
    version: int | None
    state: OrderState | None
    planned_for: datetime | None
    why: str
    hours: Decimal | None
    day: date | None
    worker: str
    note: str
    set_external_number: str


def check_columns(names: Iterable[str]) -> None:
    """A column misspelt would be left unread for ever, so an unknown one refuses the file."""
    known = set(names)
    for name in sorted(known - COLUMNS.keys()):
        nearest = get_close_matches(name, COLUMNS, n=1, cutoff=0.5)
        raise FileRefused(
            "unknown_column",
            column=name[:60],
            nearest=nearest[0] if nearest else "",
            accepted=", ".join(COLUMNS),
        )
    if not known & {NUMBER, EXTERNAL}:
        raise FileRefused("no_order_column")


def said_by(cells: Mapping[str, str], zone: ZoneInfo) -> Said:
    """Read a row; raises RowRefused naming the column. Times without a zone are the plant's."""
    for name, longest in COLUMNS.items():
        if len(cells.get(name, "")) > longest:
            raise RowRefused("cell_too_long", name, most=longest)
    if not (cells.get(NUMBER) or cells.get(EXTERNAL)):
        raise RowRefused("no_order_named", NUMBER)
    if not any(cells.get(name) for name in _SAYS_SOMETHING):
        raise RowRefused("says_nothing", accepted=", ".join(_SAYS_SOMETHING))
    return Said(
        id=cells.get("id", ""),
        number=cells.get(NUMBER, "").upper(),
        external_number=cells.get(EXTERNAL, ""),
        version=_whole(cells.get("version", "")),
        state=_state(cells.get("state", "")),
        planned_for=_instant(cells.get("planned_for", ""), zone),
        why=cells.get("why", ""),
        hours=_hours(cells.get("hours", "")),
        day=_day(cells.get("day", "")),
        worker=cells.get("worker", ""),
        note=cells.get("note", ""),
        set_external_number=cells.get("set_external_number", ""),
    )


def _whole(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdigit()):
        raise RowRefused("not_whole", "version", value=text)
    return int(text)


def _state(text: str) -> OrderState | None:
    if not text:
        return None
    word = text.strip().lower().replace(" ", "_")
    try:
        return OrderState(word)
    except ValueError:
        accepted = [state.value for state in OrderState]
        nearest = get_close_matches(word, accepted, n=1, cutoff=0.5)
        raise RowRefused(
            "unknown_state",
            "state",
            value=text,
            nearest=nearest[0] if nearest else "",
            accepted=", ".join(accepted),
        ) from None


def _hours(text: str) -> Decimal | None:
    """A decimal comma counts as a point; thousands are written without either."""
    if not text:
        return None
    try:
        hours = Decimal(text.replace(",", "."))
    except InvalidOperation:
        raise RowRefused("no_hours", "hours", value=text) from None
    if not hours.is_finite() or not 0 < hours <= 24:
        raise RowRefused("no_hours", "hours", value=text)
    # What the booking keeps; more digits are a clock's, not a person's.
    rounded = hours.quantize(Decimal("0.01"))
    if not rounded:
        raise RowRefused("no_hours", "hours", value=text)
    return rounded


def _day(text: str) -> date | None:
    if not text:
        return None
    if not _ISO_DAY.fullmatch(text):
        raise RowRefused("no_day", "day", value=text)
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise RowRefused("no_day", "day", value=text) from None


def _instant(text: str, zone: ZoneInfo) -> datetime | None:
    if not text:
        return None
    try:
        at = datetime.fromisoformat(text)
        if at.tzinfo is None:
            at = at.replace(tzinfo=zone)
        # Its ends have no instant in every zone.
        at.timestamp()
    except (ValueError, OverflowError):
        raise RowRefused("no_instant", "planned_for", value=text) from None
    if not 1950 <= at.year <= 2199:
        raise RowRefused("no_instant", "planned_for", value=text)
    return at
