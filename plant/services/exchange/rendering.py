"""Changes as the bytes of a file: the same changes make the same bytes.

JSON Lines are exact. In CSV, text that a spreadsheet program would take for a formula gets an
apostrophe before it, also for machines: such files are opened by people in the end, and the text
is other people's. Numbers are never touched; who needs every letter takes JSON Lines. What other
systems send in may have the apostrophe, too; it is taken off there.
"""

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Any

import orjson

from plant import exchange_columns
from plant.exports import cell_of
from plant.models import ExchangeSetting, Feed
from plant.services.exchange.telling import Telling, record_of


def rendered(
    changes: Iterable[dict[str, Any]], feed: Feed, form: str, telling: Telling
) -> Iterator[bytes]:
    """`changes` are as `feed_entries` tells them; a CSV file always has its header."""
    if form == ExchangeSetting.Format.CSV:
        return _as_table(changes, feed, telling)
    return (one_line(telling.told(change)) for change in changes)


def _as_table(changes: Iterable[dict[str, Any]], feed: Feed, telling: Telling) -> Iterator[bytes]:
    columns = telling.columns(feed, exchange_columns.of(feed))
    yield _line(columns.header())
    for change in changes:
        told = telling.told(change)
        yield _line(columns.row(told, change["of"], record_of(told)))


def _line(cells: Iterable[Any]) -> bytes:
    """RFC 4180: commas, quotes where needed, lines ended by CR LF; UTF-8 without a mark."""
    written = io.StringIO(newline="")
    csv.writer(written).writerow([cell_of(cell) for cell in cells])
    return written.getvalue().encode()


def one_line(told: dict[str, Any]) -> bytes:
    return orjson.dumps(told) + b"\n"
