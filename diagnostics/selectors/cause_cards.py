"""Cards of causes for the pocket and the wall, as plain values for a sheet."""

from collections.abc import Iterable
from typing import Any

from django.template.defaultfilters import floatformat
from django.utils.text import Truncator
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from diagnostics.class_words import class_words
from diagnostics.drawings.of_causes import drawing_of, has_own_drawing
from diagnostics.drawings.printed import svg_of
from diagnostics.inference.causes import Cause
from diagnostics.inference.work_methods import WorkMethod
from diagnostics.knowledge_entries import Library
from diagnostics.selectors.catalogue import CausePage, cause_page
from plant.models import Plant

# What a cell of the title block holds.
_CELL = 60


def cards(
    library: Library, causes: Iterable[Cause], title: object, plant: Plant | None
) -> dict[str, Any]:
    """Values of one sheet a cause, in the order given."""
    pages = (cause_page(library.knowledge, library.work_methods, one.slug) for one in causes)
    return {
        "lang": (get_language() or "en").split("-")[0],
        "title": str(title),
        "maker": "Loopwright",
        "cards": [_card(page, library.knowledge.version, plant) for page in pages if page],
    }


def _card(page: CausePage, version: str, plant: Plant | None) -> dict[str, Any]:
    cause, drawing = page.cause, drawing_of(page.cause)
    zones = ", ".join(_(zone.value) for zone in page.zones)
    return {
        "over": f"{class_words(cause.cause_class)} · {zones}",
        "heading": cause.name,
        "cautions_heading": _("Before you go near"),
        "cautions": list(page.cautions),
        "svg": svg_of(drawing),
        "view": str(drawing.view),
        "alt": str(drawing.tells),
        "note": _drawing_note(cause),
        "left": [_part(_("Where and how it shows"), cause.shows), _alike(page)],
        "right": [_confirm(cause), _mend(cause), _method(page.method)],
        "foot": _foot(cause, version, plant),
    }


def _drawing_note(cause: Cause) -> str:
    told = _("Drawn far larger than real; the mirror image holds as well.")
    if has_own_drawing(cause):
        return told
    borrowed = _("This cause has no drawing of its own yet; shown is the commonest of its family.")
    return f"{borrowed} {told}"


def _part(
    heading: str,
    text: str = "",
    steps: Iterable[str] = (),
    pairs: Iterable[tuple[str, str]] = (),
    facts: Iterable[tuple[str, str]] = (),
) -> dict[str, Any]:
    told = [[name, value] for name, value in facts if value]
    return {
        "heading": heading,
        "text": text,
        "steps": list(steps),
        "pairs": [list(one) for one in pairs],
        "facts": told,
    }


def _alike(page: CausePage) -> dict[str, Any]:
    pairs = [(one.cause.name, one.tell_apart) for one in page.look_alikes]
    return _part(_("Taken for it, and how to tell them apart"), pairs=pairs)


def _confirm(cause: Cause) -> dict[str, Any]:
    check = cause.confirm
    stopped = _("Belt stopped and locked out.")
    running = _("Belt may run; from outside the guards.")
    facts = [
        (_("Takes"), _("About %(minutes)s minutes.") % {"minutes": floatformat(check.minutes)}),
        (_("Belt"), stopped if check.needs_stop else running),
        (_("Tools"), ", ".join(check.tools) or _("none")),
    ]
    return _part(_("How to be sure"), check.what, facts=facts)


def _mend(cause: Cause) -> dict[str, Any]:
    facts = [
        (_("Tolerance"), cause.tolerance),
        (_("Source"), cause.source),
    ]
    return _part(_("How to mend it"), cause.correct, facts=facts)


def _method(method: WorkMethod) -> dict[str, Any]:
    size = ngettext(
        "%(hours)s h, %(people)s person", "%(hours)s h, %(people)s people", method.people
    )
    told = size % {"hours": floatformat(method.hours, "-2"), "people": method.people}
    isolated = _("needs isolation") if method.needs_isolation else _("the site's rules decide")
    facts = [
        (_("Tools"), ", ".join(method.tools)),
        (_("Parts"), ", ".join(method.parts)),
        (_("Proof"), method.proof),
    ]
    steps = [step.what for step in method.steps]
    return _part(f"{_('Work method:')} {method.name}", f"{told}, {isolated}.", steps, facts=facts)


def _foot(cause: Cause, version: str, plant: Plant | None) -> list[list[str]]:
    cells = [
        (_("Cause"), cause.name),
        (_("As kept by"), plant.name if plant else _("this installation")),
        (_("Knowledge"), version),
    ]
    return [[name, Truncator(value).chars(_CELL)] for name, value in cells]
