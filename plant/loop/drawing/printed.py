"""The drawing as one SVG that stands by itself, for paper.

On a page the stylesheet and the reader's settings give the ink; here the caller hands in rules with
plain colours, since whoever prints knows no page.
"""

from collections.abc import Iterator
from html import escape

from plant.loop.drawing.figure import Figure
from plant.loop.drawing.shapes import Form, Place, Shape

# Grounds for fingers, which paper does not need.
TOUCHED = frozenset({"touch", "touch-line"})


def printed_svg(figure: Figure, *, style: str, font: str) -> str:
    """One layout of the drawing as a document.

    Parameters
    ----------
    figure : Figure
    style : str
        CSS rules with plain values: no custom properties.
    font : str
        Family the words are set in.

    Returns
    -------
    str
        The same shapes and classes as on the page, without its links and titles.
    """
    places = "".join(_place(one) for one in figure.places)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="loop {escape(figure.name)}"'
        f' viewBox="{figure.window}" font-family="{escape(font)}">'
        f"<style>{escape(style, quote=False)}</style>{places}</svg>"
    )


def _place(place: Place) -> str:
    return f'<g class="{escape(place.look)}">{"".join(_shapes(place))}</g>'


def _shapes(place: Place) -> Iterator[str]:
    for shape in place.shapes:
        if shape.look in TOUCHED:
            continue
        look = f'class="{escape(shape.look)}"'
        match shape.form:
            case Form.PATH:
                yield f'<path {look} d="{escape(shape.points)}"/>'
            case Form.CIRCLE:
                yield f'<circle {look} cx="{shape.x}" cy="{shape.y}" r="{shape.radius}"/>'
            case Form.TEXT:
                yield f"<text {look} {_seat(shape)}>{escape(shape.text)}</text>"


def _seat(shape: Shape) -> str:
    return f'x="{shape.x}" y="{shape.y}" text-anchor="{escape(shape.anchor)}"'
