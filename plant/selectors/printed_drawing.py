"""The drawing of the loop for paper: the page's own stylesheet with ink for its colours."""

import re
from functools import cache
from pathlib import Path
from typing import Any

from plant.loop.drawing.printed import printed_svg

# The layout whose words are of a readable size on the width of a sheet.
PRINTED_LAYOUT = "middle"
_FONT = "Libertinus Serif"
_STYLESHEET = Path(__file__).parents[1] / "static" / "plant" / "loop.css"
# Ink on white; what the page tells apart by colour stays apart in grey, too.
_INKS = {
    "paper": "#ffffff",
    "paper-deep": "#f4f4f4",
    "ink": "#000000",
    "ink-soft": "#444444",
    "rule": "#cccccc",
    "rule-strong": "#777777",
    "blue": "#114f8f",
    "amber": "#7a4800",
}
_RULE = re.compile(r"^(svg\.loop[^{:]*)\{([^}]*)\}", re.MULTILINE)
_PROPERTY = re.compile(r"var\(--([a-z-]+)\)")


def printed_drawing(drawing: dict[str, Any], layout: str = PRINTED_LAYOUT) -> str:
    """What `loop_drawing` laid out, as an SVG for the typesetter; empty when there is none."""
    figure = next((one for one in drawing["figures"] if one.name == layout), None)
    return printed_svg(figure, style=_style(), font=_FONT) if figure else ""


@cache
def _style() -> str:
    """The rules of the page's drawing without pointers and keyboards, in ink."""
    rules = _RULE.findall(_STYLESHEET.read_text(encoding="utf-8"))
    kept = (f"{selector.strip()} {{{body}}}" for selector, body in rules)
    plain = _PROPERTY.sub(lambda found: _INKS[found[1]], "\n".join(kept))
    return plain.replace("font-family: inherit;", "")
