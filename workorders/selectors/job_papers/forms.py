"""Blocks of a sheet that somebody writes on: boxes to tick, rows to fill in, lines to sign."""

from collections.abc import Iterable, Sequence

from diagnostics.selectors.case_report.blocks import Block


def form(
    columns: Sequence[object],
    widths: Sequence[float],
    rows: Iterable[Sequence[object]],
    *,
    ticks: Sequence[bool] | None = None,
    tall_mm: float = 7.0,
) -> Block:
    """A ruled table; `ticks` puts a box before each row, crossed where it is done already."""
    return {
        "kind": "form",
        "columns": [str(one) for one in columns],
        "widths": list(widths),
        "rows": [[str(one) for one in row] for row in rows],
        "ticks": None if ticks is None else list(ticks),
        "tall": tall_mm,
    }


def blank_rows(columns: Sequence[object], widths: Sequence[float], count: int) -> Block:
    return form(columns, widths, [[""] * len(columns)] * count)


def boxed(words: object) -> Block:
    """What nobody may overlook; a box and bold letters, since print has no amber."""
    return {"kind": "boxed", "text": str(words)}


def ticked(items: Iterable[object]) -> Block | None:
    said = [str(one) for one in items]
    return {"kind": "ticked", "items": said} if said else None


def lines(count: int) -> Block:
    return {"kind": "lines", "count": count}
