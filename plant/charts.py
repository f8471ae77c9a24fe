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

from plant import chart_specs
from plant.chart_specs import AMBER, BLUE, INK, PAPER

__all__ = ["AMBER", "BLUE", "INK", "PAPER", "chart_svg", "print_svg"]

_KEEP_S = 24 * 3600


def chart_svg(spec: dict[str, Any]) -> SafeString:
    """Draw a specification of ours (never one from outside) as an inline SVG that scales.

    The same content is drawn once and kept.
    """
    # Vega escapes every text it draws; markup in data stays text.
    return mark_safe(_kept(chart_specs.still(spec)))  # noqa: S308  # nosec B308 B703


def print_svg(spec: dict[str, Any]) -> str:
    """The same for a sheet on paper: ink on white, letters that the typesetter has."""
    return _kept(chart_specs.on_paper(spec))


def _kept(spec: dict[str, Any]) -> str:
    text = json.dumps(spec, sort_keys=True, ensure_ascii=False)
    key = f"chart-{hashlib.sha256(text.encode()).hexdigest()}"
    svg: str | None = cache.get(key)
    if svg is None:
        svg = _draw(text)
        cache.set(key, svg, _KEEP_S)
    return svg


def _draw(text: str) -> str:
    svg = vl_convert.vegalite_to_svg(json.loads(text), allowed_base_urls=[])
    # The picture stands beside a table that says the same; for a reader it is one image.
    return re.sub(r' role="[^"]*"| aria-[a-z]+="[^"]*"', "", svg)
