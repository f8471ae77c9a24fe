"""Work on a belt in the reader's language."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from plant.belt_work_forms import TURN_WORDS
from plant.loop.belt_life import Turn
from plant.loop.belt_operations import WorkKind
from plant.models import BeltWork

HEADINGS: dict[WorkKind, str | Promise] = {
    WorkKind.SPLICED: gettext_lazy("Make a splice"),
    WorkKind.REFERENCE: gettext_lazy("Count from another splice"),
    WorkKind.CUT_OUT: gettext_lazy("Cut a section out"),
    WorkKind.PUT_IN: gettext_lazy("Put a section in"),
    WorkKind.TURNED: gettext_lazy("Turn the belt"),
}
BUTTONS: dict[WorkKind, str | Promise] = {
    WorkKind.SPLICED: gettext_lazy("The splice is made"),
    WorkKind.REFERENCE: gettext_lazy("Count from there"),
    WorkKind.CUT_OUT: gettext_lazy("The section is out"),
    WorkKind.PUT_IN: gettext_lazy("The section is in"),
    WorkKind.TURNED: pgettext_lazy("answer", "The belt is turned"),
}


@dataclass(frozen=True)
class ToldWork:
    row: BeltWork
    words: str


def told_works(works: Iterable[BeltWork]) -> list[ToldWork]:
    return [ToldWork(work, _told(work)) for work in works]


def _told(work: BeltWork) -> str:
    figures: dict[str, Any] = {
        name: f"{value:g}" if isinstance(value, int | float) else value
        for name, value in work.figures.items()
    }
    match WorkKind(work.kind):
        case WorkKind.SPLICED:
            return _("splice %(name)s made at %(at_m)s m") % figures
        case WorkKind.REFERENCE:
            pk = work.figures.get("splice")
            stood = {one["pk"]: one for one in work.before.get("splices", [])}
            name = stood[pk]["name"] if pk in stood else "—"
            return _("positions counted from splice %(name)s") % {"name": name}
        case WorkKind.CUT_OUT:
            return _("cut out from %(from_m)s m to %(to_m)s m, joined by splice %(name)s") % figures
        case WorkKind.PUT_IN:
            return _("%(length_m)s m put in at %(at_m)s m") % figures
        case WorkKind.TURNED:
            return str(TURN_WORDS[Turn(work.figures["how"])])
    return str(work.get_kind_display())
