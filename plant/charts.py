"""Charts: a Vega-Lite specification drawn to SVG on the server, in ink on paper.

Colours are words of the page (`currentColor`, custom properties), so that a chart follows day,
night and print. Rendering starts threads: never draw before a process forks.
"""

import hashlib
import json
import re
from typing import Any

import vl_convert
from django.core.cache import cache
from django.utils.safestring import SafeString, mark_safe

INK = "currentColor"
AMBER = "var(--amber)"
BLUE = "var(--blue)"
PAPER = "var(--paper)"

_FONT = "system-ui, sans-serif"
_CONFIG: dict[str, Any] = {
    "background": None,
    "font": _FONT,
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
_KEEP_S = 24 * 3600


def chart_svg(spec: dict[str, Any]) -> SafeString:
    """Draw a specification of ours (never one from outside) as an inline SVG that scales.

    The same content is drawn once and kept.
    """
    text = json.dumps({**spec, "config": _CONFIG}, sort_keys=True, ensure_ascii=False)
    key = f"chart-{hashlib.sha256(text.encode()).hexdigest()}"
    svg: str | None = cache.get(key)
    if svg is None:
        svg = _draw(text)
        cache.set(key, svg, _KEEP_S)
    # Vega escapes every text it draws; markup in data stays text.
    return mark_safe(svg)  # noqa: S308  # nosec B308 B703


def _draw(text: str) -> str:
    svg = vl_convert.vegalite_to_svg(json.loads(text), allowed_base_urls=[])
    # The picture stands beside a table that says the same; for a reader it is one image.
    return re.sub(r' role="[^"]*"| aria-[a-z]+="[^"]*"', "", svg)
