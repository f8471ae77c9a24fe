"""What a sheet is made of: sections of blocks in plain JSON, as `case_report.typ` draws them."""

from collections.abc import Iterable, Sequence
from typing import Any

Block = dict[str, Any]


def section(heading: object, *blocks: Block | None) -> Block:
    return {"heading": str(heading), "blocks": [one for one in blocks if one]}


def heading(words: object) -> Block:
    return {"kind": "heading", "text": str(words)}


def text(words: object, *, soft: bool = False, strong: bool = False) -> Block:
    return {"kind": "text", "text": str(words), "soft": soft, "strong": strong}


def lead(words: object) -> Block:
    """A soft line that stays with the block it leads to."""
    return {"kind": "lead", "text": str(words)}


def facts(rows: Iterable[tuple[object, object]]) -> Block | None:
    """Names and values, without those that say nothing."""
    told = [[str(name), str(value)] for name, value in rows if str(value or "")]
    return {"kind": "facts", "rows": told} if told else None


def listed(items: Iterable[object], marker: str = "–") -> Block | None:
    said = [str(one) for one in items]
    return {"kind": "list", "items": said, "marker": marker} if said else None


def cautions(items: Iterable[str]) -> Block:
    return {"kind": "cautions", "items": list(items)}


def quote(words: object, by: object) -> Block:
    return {"kind": "quote", "text": str(words), "by": str(by)}


def table(
    columns: Sequence[object], widths: Sequence[float], rows: Iterable[Sequence[object]]
) -> Block:
    """A row of one cell is a heading within the table."""
    return {
        "kind": "table",
        "columns": [str(one) for one in columns],
        "widths": list(widths),
        "rows": [[str(one) for one in row] for row in rows],
    }


def pictures(shown: Iterable[tuple[bytes, object]]) -> Block | None:
    """JPEG files with their captions, small enough to travel as numbers."""
    items = [{"bytes": list(file), "caption": str(caption)} for file, caption in shown]
    return {"kind": "pictures", "items": items} if items else None


def drawing(svg: str, alt: object, key: Iterable[object]) -> Block:
    return {"kind": "drawing", "svg": svg, "alt": str(alt), "key": [str(one) for one in key]}
