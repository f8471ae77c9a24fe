"""Sets whose rolls were changed lately, as marks on the drawing of their conveyor's loop."""

from datetime import datetime

from django.http import HttpRequest
from django.utils.translation import gettext as _

from plant.drawing_layers import Layer
from plant.loop.drawing.shapes import Mark, MarkKind
from plant.models import Conveyor, RollChange
from plant.roll_words import set_words
from plant.selectors.drawing_sheet import LATELY, PINS

_CHANGES = 200


def on_drawing(_request: HttpRequest, conveyor: Conveyor, now: datetime) -> Layer:
    """One query: the newest sets, one mark each however many of its rolls were changed."""
    today = conveyor.plant.day_of(now)
    changes = conveyor.roll_changes.filter(
        undone_at__isnull=True,
        component__isnull=False,
        set_number__isnull=False,
        changed_on__range=(today - LATELY, today),
    ).select_related("component")[:_CHANGES]
    newest: dict[tuple[int, int], Mark] = {}
    for change in changes:
        newest.setdefault((change.component_id or 0, change.set_number or 0), _mark(change))
    return Layer(tuple(newest.values())[:PINS])


def _mark(change: RollChange) -> Mark:
    assert change.component is not None
    assert change.set_number is not None
    part = change.component.as_part()
    place = change.set_number - 1
    told = {"name": set_words(part, change.set_number), "day": change.changed_on.isoformat()}
    words = _("roll of %(name)s, %(day)s") % told
    return Mark(part.first_m + place * (part.spacing_m or 0.0), MarkKind.REPLACED, words)
