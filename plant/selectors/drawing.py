"""The drawing of a conveyor's loop for any page, with what the page knows laid over it."""

from collections.abc import Callable, Sequence
from typing import Any

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext, gettext_noop

from plant.loop.drawing.canvas import LAYOUTS
from plant.loop.drawing.figure import Figure, Reader, Telling, draw_loop
from plant.loop.drawing.shapes import Curve, Mark, MarkKind, RibbonPoint, Rider
from plant.loop.drawing.shown import Stretch
from plant.loop.parts import GeometryError, Part
from plant.loop.path import Loop
from plant.loop.profile import kept_profile
from plant.loop.vocabulary import TakeUpKind
from plant.models import Conveyor
from plant.selectors.loops import loop_of
from plant.words import KIND_WORDS

__all__ = [
    "Curve",
    "Mark",
    "MarkKind",
    "RibbonPoint",
    "Rider",
    "key_in_words",
    "larger_address",
    "loop_drawing",
]

_KEY = {
    MarkKind.ONSET: gettext_noop("first place off centre"),
    MarkKind.SUSPECTED: gettext_noop("suspected place"),
    MarkKind.CASE: gettext_noop("open case"),
    MarkKind.WORK: gettext_noop("work to be done"),
    MarkKind.SUPPOSED: gettext_noop("where the fault is supposed"),
    MarkKind.DUE: gettext_noop("due"),
    MarkKind.REPLACED: gettext_noop("replaced lately"),
    MarkKind.HAPPENED: gettext_noop("so many cases at this place"),
    MarkKind.CAME_BACK: gettext_noop("so many cases at this place, repeats among them"),
}
# So far to either side a place is shown larger; engineering judgement. [m]
_AROUND_M = 12.0
_SHAPES = {
    MarkKind.ONSET: gettext_noop("triangle"),
    MarkKind.SUSPECTED: gettext_noop("ring"),
    MarkKind.CASE: gettext_noop("diamond"),
    MarkKind.DUE: gettext_noop("hourglass"),
    MarkKind.REPLACED: gettext_noop("ring with a tick"),
    MarkKind.HAPPENED: gettext_noop("ring with a number"),
    MarkKind.CAME_BACK: gettext_noop("double diamond with a number"),
}
# The pure drawing's own words, here for the translators; the zones' stand in plant/words.py.
_WORDS = (
    gettext_noop("travel"),
    gettext_noop("reversing; forward is this way"),
    gettext_noop("forward"),
    gettext_noop("R"),
    gettext_noop("L"),
)


def loop_drawing(
    conveyor: Conveyor,
    ribbon: Sequence[RibbonPoint] = (),
    marks: Sequence[Mark] = (),
    *,
    curves: Sequence[Curve] = (),
    riders: Sequence[Rider] = (),
    stretch: Stretch | None = None,
    loop: Loop | None = None,
    part_href: Callable[[str], str] | None = None,
    has_larger: bool = False,
    layout: str = "",
) -> dict[str, Any]:
    """What `plant/parts/loop.html` needs, as `drawing`; `missing` says why nothing can be drawn.

    `larger` leads from a drawing of the whole to what is around its last mark; `layout` names the
    one that is drawn where not all are wanted. One query for the components unless the loop is
    handed in.
    """
    try:
        loop = loop or loop_of(conveyor)
    except GeometryError as refusal:
        return {"conveyor": conveyor, "figures": (), "missing": str(refusal)}
    telling = Telling(
        lift_m=conveyor.lift_m,
        take_up=TakeUpKind(conveyor.take_up_kind),
        is_reversing=conveyor.is_reversing,
        ribbon=ribbon,
        marks=marks,
        curves=curves,
        profile=kept_profile(conveyor.profile),
        stretch=stretch,
        riders=riders,
    )
    reader = Reader(gettext, _tells, lambda part: part_href(part.name) if part_href else "")
    kinds = {mark.kind for mark in marks}
    layouts = [one for one in LAYOUTS if layout in {"", one.name}]
    figures = draw_loop(loop, telling, layouts=layouts, reader=reader)
    return {
        "conveyor": conveyor,
        "loop": loop,
        "figures": figures,
        "scale": scale_words(figures[0]),
        "has_ribbon": bool(ribbon) and not curves,
        "has_curves": bool(curves),
        "has_dots": bool(ribbon and curves),
        "stretch": stretch,
        "larger": larger_address(conveyor, loop, marks[-1].position_m) if has_larger else "",
        "has_splices": any(one.is_splice for one in riders),
        "has_belt_marks": any(not one.is_splice for one in riders),
        "key": [(kind.value, gettext(words)) for kind, words in _KEY.items() if kind in kinds],
        "missing": "",
    }


def larger_address(conveyor: Conveyor, loop: Loop, position_m: float) -> str:
    """The sheet of the drawing with what is around a place."""
    ends = ((position_m + way * _AROUND_M) % loop.length_m for way in (-1, 1))
    from_m, to_m = (f"{one:.1f}" for one in ends)
    where = reverse("conveyor-drawing", args=[conveyor.plant.code, conveyor.tag])
    return f"{where}?from={from_m}&to={to_m}"


def scale_words(figure: Figure) -> str:
    """What can be measured on the drawing, and how much higher than long things are drawn."""
    words = [
        gettext("lengths to scale, pulleys drawn larger")
        if figure.is_surveyed
        else gettext("schematic, not to scale")
    ]
    if figure.heights_drawn != 1:
        factor = number_format(f"{figure.heights_drawn:.1f}".removesuffix(".0"))
        told = gettext("heights × %(factor)s") % {"factor": factor}
        # On one line, as a figure and its unit.
        words.append(told.replace(" ", "\N{NO-BREAK SPACE}"))
    if figure.is_schematic:
        words.append(gettext("pulley angles not known"))
    return "; ".join(words)


def key_in_words(drawing: dict[str, Any]) -> str:
    """The marks by their shapes, for paper, where no key is drawn; empty without marks."""
    shapes = {kind.value: words for kind, words in _SHAPES.items()}
    told = [
        f"{gettext(shapes.get(kind, gettext_noop('square')))}: {words}"
        for kind, words in drawing["key"]
    ]
    if drawing["has_splices"]:
        told.append(gettext("two slanting strokes: splice"))
    if drawing["has_belt_marks"]:
        told.append(gettext("cross on the belt: belt mark"))
    if drawing["figures"][0].is_surveyed:
        told.append(gettext("small triangle below the run: height in metres"))
    return "; ".join(told)


def _tells(part: Part) -> str:
    what: dict[str, Any] = {
        "name": part.name,
        "kind": KIND_WORDS[part.kind],
        "at": f"{part.first_m:g}",
    }
    if part.count == 1:
        return gettext("%(name)s: %(kind)s at %(at)s m") % what
    what.update(count=part.count, spacing=f"{part.spacing_m:g}")
    return gettext("%(name)s: %(count)s %(kind)s every %(spacing)s m from %(at)s m") % what
