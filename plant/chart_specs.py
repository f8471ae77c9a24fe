"""One specification of a chart, made ready for the page that explores it and for paper.

A specification names its colours in words of the page (`plant/charts.py`). Paper knows no such
words, so there each becomes an ink of the sheet.
"""

from collections.abc import Iterable
from typing import Any

from plant import chart_locale

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"

INK = "currentColor"
AMBER = "var(--amber)"
BLUE = "var(--blue)"
PAPER = "var(--paper)"

# The sheets' own letters; the typesetter has no others without serifs.
_PAPER_FONT = "Libertinus Serif"
_PAGE_FONT = "system-ui, sans-serif"
_ON_PAPER = {INK: "#000000", AMBER: "#7a4800", BLUE: "#114f8f", PAPER: "#ffffff"}
# Marks that stand for one thing; what a line or a rule says belongs to its ends.
_TELLING = ("bar", "circle", "point", "rect", "square")
_ROWS = ("data", "datasets")
# Set by the page as soon as somebody is nearer than the whole.
ZOOMED = "is_near"
ZOOM = "near"


def _config(font: str) -> dict[str, Any]:
    return {
        "locale": chart_locale.locale(),
        "background": None,
        "font": font,
        "view": {"stroke": None},
        "axis": {
            "domainColor": INK,
            "tickColor": INK,
            "labelColor": INK,
            "titleColor": INK,
            "gridColor": INK,
            "gridOpacity": 0.15,
            "labelFontSize": 12,
            "titleFontSize": 12,
            "titleFontWeight": "normal",
            "labelLimit": 400,
        },
        "text": {"color": INK, "fontSize": 12},
    }


def still(spec: dict[str, Any]) -> dict[str, Any]:
    """What the server draws for a page."""
    return {**spec, "config": _config(_PAGE_FONT)}


def on_paper(spec: dict[str, Any]) -> dict[str, Any]:
    """What a printed sheet shows: ink on white, in the letters of the sheets."""
    inked: dict[str, Any] = _inked({**spec, "config": _config(_PAPER_FONT)})
    return inked


def explored(spec: dict[str, Any], *, zooms: bool) -> dict[str, Any]:
    """What the page draws anew when somebody asks: marks that tell what they are, a zoom across."""
    config = _config(_PAGE_FONT)
    for mark in _TELLING:
        config[mark] = {"tooltip": True}
    if not _tells(spec):
        # Of lines alone, then, the places they are drawn through.
        config["line"] = {"point": {"opacity": 0, "size": 160}}
    found = {**_titled(spec), "config": config}
    return _zooming(found) if zooms else found


def _titled(spec: dict[str, Any]) -> dict[str, Any]:
    """The words of an axis are those of what a mark tells of it, too."""
    found = dict(spec)
    if "encoding" in spec:
        found["encoding"] = {
            channel: {"title": one["axis"]["title"], **one} if _has_words(one) else one
            for channel, one in spec["encoding"].items()
        }
    if "layer" in spec:
        found["layer"] = [_titled(one) for one in spec["layer"]]
    return found


def _has_words(channel: Any) -> bool:
    axis = channel.get("axis") if isinstance(channel, dict) else None
    return isinstance(axis, dict) and bool(axis.get("title"))


def _tells(spec: dict[str, Any]) -> bool:
    """Whether some mark of it tells what it is."""
    mark = spec.get("mark")
    kind = mark.get("type") if isinstance(mark, dict) else mark
    return (
        kind in _TELLING
        or "tooltip" in spec.get("encoding", {})
        or any(_tells(one) for one in spec.get("layer", ()))
    )


def told(*fields: tuple[str, str] | tuple[str, str, str]) -> list[dict[str, Any]]:
    """The `tooltip` of an encoding: each a field, the words before it and, if any, its format."""
    return [
        {
            "field": field,
            "title": words,
            **({"type": "quantitative", "format": form[0]} if form else {"type": "nominal"}),
        }
        for field, words, *form in fields
    ]


def told_day(field: str, words: str, form: str = "%Y-%m-%d") -> dict[str, Any]:
    """One more entry of `told`: a day or an instant."""
    return {"field": field, "title": words, "type": "temporal", "format": form}


def telling_places(encoding: dict[str, Any], tells: list[dict[str, Any]]) -> dict[str, Any]:
    """A layer nobody sees: where somebody points at a line, what it is there is told."""
    mark = {"type": "point", "filled": True, "size": 160, "opacity": 0}
    return {"mark": mark, "encoding": {**encoding, "tooltip": tells}}


def _inked(value: Any, *, among_rows: bool = False) -> Any:
    """Inks for the words of colours; in data only where a value is nothing but such a word."""
    if isinstance(value, dict):
        return {
            key: _inked(one, among_rows=among_rows or key in _ROWS) for key, one in value.items()
        }
    if isinstance(value, list | tuple):
        return [_inked(one, among_rows=among_rows) for one in value]
    if not isinstance(value, str):
        return value
    if among_rows:
        return _ON_PAPER.get(value, value)
    for word, ink in _ON_PAPER.items():
        value = value.replace(word, ink)
    return value


def _zooming(spec: dict[str, Any]) -> dict[str, Any]:
    """Bound to the axis across; the wheel stays the page's own, a drag is the mouse's."""
    drag = "[pointerdown[event.pointerType === 'mouse'], window:pointerup] > window:pointermove!"
    select = {"type": "interval", "encodings": ["x"], "zoom": False, "translate": drag}
    bound = {"name": ZOOM, "select": select, "bind": "scales"}
    clipped = _clipped(spec)
    found = _bound(clipped, bound, "field" in _x_of(spec)) or clipped
    return {**found, "params": [{"name": ZOOMED, "value": False}, *found.get("params", ())]}


def _bound(spec: dict[str, Any], param: dict[str, Any], has_x: bool) -> dict[str, Any] | None:
    """With the selection in one layer, the first along the axis; it moves all that share it."""
    if "layer" not in spec:
        return {**spec, "params": [*spec.get("params", ()), param]} if has_x else None
    layers = list(spec["layer"])
    for place, layer in enumerate(layers):
        x = _x_of(layer)
        found = _bound(layer, param, "field" in x if x else has_x)
        if found is not None:
            layers[place] = found
            return {**spec, "layer": layers}
    return None


def _x_of(spec: dict[str, Any]) -> dict[str, Any]:
    x: dict[str, Any] = spec.get("encoding", {}).get("x", {})
    return x


def _clipped(spec: dict[str, Any]) -> dict[str, Any]:
    found = dict(spec)
    if "mark" in spec:
        mark = spec["mark"] if isinstance(spec["mark"], dict) else {"type": spec["mark"]}
        found["mark"] = {"clip": {"expr": ZOOMED}, **mark}
    if "layer" in spec:
        layers: Iterable[dict[str, Any]] = spec["layer"]
        found["layer"] = [_clipped(one) for one in layers]
    return found
