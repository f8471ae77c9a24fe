"""The values of a drawing's sheet on paper."""

from datetime import datetime
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from plant.drawing_forms import DrawingAsked
from plant.models import Conveyor, User
from plant.selectors.drawing import key_in_words
from plant.selectors.drawing_sheet import DrawingSheet
from plant.selectors.printed_drawing import printed_drawing
from plant.templatetags.sheet import metres, plant_date

_LAYOUT = "wide"


def drawing_paper(
    conveyor: Conveyor, sheet: DrawingSheet, asked: DrawingAsked, reader: User, now: datetime
) -> dict[str, Any]:
    """What `sheets/drawing.typ` sets; the sheet has a loop."""
    drawing = sheet.drawing
    title = _("%(tag)s %(name)s: the loop") % {"tag": conveyor.tag, "name": conveyor.name}
    return {
        "title": title,
        "heading": title,
        "maker": "Loopwright",
        "lang": get_language() or "en",
        "svg": printed_drawing(drawing, _LAYOUT),
        "alt": _("The loop of %(tag)s in side view") % {"tag": conveyor.tag},
        "key": [one for one in (sheet.says, _how_to_read(drawing), _marks(drawing)) if one],
        "foot": _foot(conveyor, drawing, asked, reader, now),
    }


def _how_to_read(drawing: dict[str, Any]) -> str:
    if not drawing["has_ribbon"]:
        return ""
    return _(
        "Ribbon: how far the belt runs off centre. Outside the loop is right, inside is left, "
        "looking in carrying travel on both runs; the broken lines are where its edge touches."
    )


def _marks(drawing: dict[str, Any]) -> str:
    words = key_in_words(drawing)
    return _("Marks: %(marks)s.") % {"marks": words} if words else ""


def _foot(
    conveyor: Conveyor, drawing: dict[str, Any], asked: DrawingAsked, reader: User, now: datetime
) -> list[list[str]]:
    stretch = drawing["stretch"]
    cells = [
        [_("Conveyor"), f"{conveyor.tag} {conveyor.name}"],
        [_("Plant"), conveyor.plant.name],
        [_("Once round"), metres(drawing["loop"].length_m)],
    ]
    if stretch:
        cells.append([_("Stretch"), f"{metres(stretch.from_m)} – {metres(stretch.to_m)}"])
    if drawing["has_splices"]:
        cells.append([_("Belt"), asked.belt_words])
    drawn = f"{plant_date(now, conveyor.plant)}, {reader}"
    return [*cells, [_("Scale"), drawing["scale"]], [_("Drawn"), drawn]]
