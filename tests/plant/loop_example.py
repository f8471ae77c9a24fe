"""The picture of a loop in the README, drawn by our own code.

`python -m tests.plant.loop_example` writes it anew; a test holds the file to what is drawn.
"""

import math
import os
import re
from pathlib import Path

from plant.loop.drawing.canvas import LAYOUTS
from plant.loop.drawing.figure import Figure, Telling, draw_loop
from plant.loop.drawing.shapes import Mark, RibbonPoint
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import TakeUpKind
from plant.loop.walking import walking_stations

STATIC = Path(__file__).parents[2] / "plant" / "static" / "plant"
PICTURE = STATIC / "loop-example.svg"
CLEARANCE_MM = 110.0
_PAPER = {
    "paper": "#f7f4ec",
    "paper-deep": "#efeadd",
    "ink": "#1b2631",
    "ink-soft": "#55606b",
    "rule": "#b9b3a3",
    "rule-strong": "#5b6670",
    "amber": "#8a5200",
    "blue": "#114f8f",
}
_FOOT = 46


def example_loop() -> Loop:
    figures = LayoutFigures(
        centre_distance_m=180,
        head_diameter_mm=1000,
        tail_diameter_mm=800,
        take_up=TakeUpKind.GRAVITY,
        take_up_after_head_m=40,
        take_up_leg_m=8,
        take_up_diameter_mm=800,
        bend_diameter_mm=630,
    )
    return build_loop(lay_out(figures))


def example_figure() -> Figure:
    """A belt that runs off where the return run passes the take-up, seen on a walk-down."""
    loop = example_loop()
    take_up = next(part for part in loop.pulleys if part.name == "TAKE-UP")
    readings = [
        _reading(station.position_m, station.position_m - take_up.first_m)
        for station in walking_stations(loop, about=34)
    ]
    marks = (
        Mark(take_up.first_m - 7.5, "onset", "first off centre"),
        Mark(take_up.first_m + 0.6, "suspected", "take-up pulley"),
    )
    telling = Telling(22.0, TakeUpKind.GRAVITY, False, readings, marks)
    return draw_loop(loop, telling, layouts=LAYOUTS[:1])[0]


def _reading(position_m: float, behind_m: float) -> RibbonPoint:
    """Nothing, a short rise before the cause, a long decay behind it."""
    share = math.exp(-behind_m / 60) if behind_m >= 0 else math.exp(behind_m / 5)
    share = round(0.9 * share, 3)
    return RibbonPoint(position_m, share, f"R {share * CLEARANCE_MM:.0f} mm")


def picture() -> str:
    """The figure as a file of its own, with its looks and its title block inside."""
    from django.template.loader import render_to_string

    figure = example_figure()
    places = "".join(
        render_to_string("plant/parts/loop_place.html", {"place": place}).strip() + "\n"
        for place in figure.places
    )
    left, top, width = figure.left, figure.top, figure.width
    height = figure.height + _FOOT
    window = f"{left:.0f} {top:.0f} {width:.0f} {height:.0f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="loop wide" viewBox="{window}" '
        f'width="{width:.0f}" height="{height:.0f}" role="img">\n'
        "<title>The loop of a conveyor with the offset of its belt as a ribbon</title>\n"
        f"<style>{_looks()}</style>\n"
        f'<rect x="{left:.0f}" y="{top:.0f}" width="{width:.0f}" height="{height:.0f}" '
        f'fill="{_PAPER["paper"]}"/>\n'
        f"{places}{_title_block(figure)}</svg>\n"
    )


def _looks() -> str:
    """The stylesheet's rules for the drawing itself, with the colours of the paper put in."""
    css = (STATIC / "loop.css").read_text(encoding="utf-8")
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    rules = [
        rule
        for rule in re.findall(r"^svg\.loop[^{}]*\{[^{}]*\}", css, flags=re.MULTILINE)
        if "hover" not in rule and "focus" not in rule
    ]
    text = "\n".join([*rules, "svg.loop text { font-family: sans-serif; }"])
    return re.sub(r"var\(--([a-z-]+)\)", lambda found: _PAPER[found[1]], text)


def _title_block(figure: Figure) -> str:
    top = figure.top + figure.height
    left, width = figure.left + 8, figure.width - 16
    heights = "" if figure.heights_drawn == 1 else f"; heights × {figure.heights_drawn:g}"
    cells = [
        ("CONVEYOR", "Invented incline with a gravity take-up"),
        ("ONCE ROUND", f"{example_loop().length_m:.1f} m"),
        ("SCALE", f"not to scale{heights}"),
        ("RIBBON", "outside right, inside left; broken lines: the edge touches"),
    ]
    shares = (0.0, 0.3, 0.42, 0.63)
    ink = _PAPER["ink"]
    lines = [
        f'<path fill="none" stroke="{ink}" stroke-width="1.6" '
        f'd="M{left:.0f} {top:.0f}h{width:.0f}v38h-{width:.0f}Z"/>'
    ]
    for share, (label, words) in zip(shares, cells, strict=True):
        x = left + share * width
        if share:
            lines.append(f'<path stroke="{ink}" d="M{x:.0f} {top:.0f}v38"/>')
        lines.append(f'<text x="{x + 9:.0f}" y="{top + 13:.0f}" font-size="9">{label}</text>')
        lines.append(f'<text x="{x + 9:.0f}" y="{top + 29:.0f}">{words}</text>')
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "plant.config.settings")
    import django

    django.setup()
    PICTURE.write_text(picture(), encoding="utf-8")
