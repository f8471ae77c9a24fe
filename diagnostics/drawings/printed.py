"""A drawing as an SVG file for the typesetter: ink for the colours of the page."""

from django.utils.html import escape
from django.utils.translation import gettext as _

from diagnostics.drawings.sheet import HEIGHT, WIDTH, Drawing, Ink, Looks

_FONT = "Libertinus Serif"
_PENS = {
    Ink.BELT: 'stroke="#000" stroke-width="2"',
    Ink.STEEL: 'stroke="#777" stroke-width="2.5"',
    Ink.FAULT: 'stroke="#000" stroke-width="5"',
    Ink.CENTRE: 'stroke="#444" stroke-width="1" stroke-dasharray="10 4 2 4"',
    Ink.ARROW: 'stroke="#000" stroke-width="1.5"',
    Ink.LOAD: 'stroke="#444" stroke-width="1.5"',
}
_FOOT = HEIGHT - 24


def edge_words(drawing: Drawing) -> list[tuple[float, float, str, str]]:
    """Place, anchor and word of what stands at the edges of the sheet."""
    right = float(WIDTH - 4)
    if drawing.looks is Looks.SECTION:
        return [(4.0, 20.0, "start", _("left")), (right, 20.0, "end", _("right"))]
    toward = (
        (right, float(_FOOT), "end", _("head"))
        if drawing.travel > 0
        else (46.0, float(_FOOT), "start", _("tail"))
    )
    if drawing.looks is Looks.SIDE:
        return [toward]
    return [(4.0, 20.0, "start", _("left")), (4.0, float(_FOOT), "start", _("right")), toward]


def svg_of(drawing: Drawing) -> str:
    lines = "".join(f'<path d="{one.path}" {_PENS[one.ink]}/>' for one in drawing.strokes)
    words = "".join(
        f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}">{escape(word)}</text>'
        for x, y, anchor, word in edge_words(drawing)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {drawing.width} {drawing.height}">'
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">{lines}</g>'
        f'<g font-family="{_FONT}" font-size="12">{words}</g></svg>'
    )
