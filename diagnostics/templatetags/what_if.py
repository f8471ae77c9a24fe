"""Addresses and words of the What if page."""

from decimal import Decimal
from typing import Any

from django import template
from django.http import QueryDict
from django.urls import reverse
from django.utils import formats
from django.utils.translation import gettext as _

from diagnostics.degree_words import DEGREE_WORDS
from diagnostics.inference.what_if.answer import Asked
from diagnostics.inference.what_if.causes_asked import is_drawn
from diagnostics.inference.what_if.picture import Picture, SeenAt
from diagnostics.models import Case, Hypothesis
from diagnostics.selectors import shelf
from plant.loop.vocabulary import ComponentKind
from plant.models import Conveyor
from plant.templatetags.sheet import metres, offset_words, side_words

register = template.Library()


@register.simple_tag
def what_if_address(hypothesis: Hypothesis, conveyor: Conveyor, case: Case | None = None) -> str:
    """The page filled in from a hypothesis; empty for a cause that has no picture."""
    cause = shelf.shown_library_of(conveyor.plant_id).knowledge.causes.get(hypothesis.cause)
    if cause is None or not is_drawn(cause):
        return ""
    detail: dict[str, Any] = hypothesis.detail
    asked = QueryDict(mutable=True)
    asked["cause"] = cause.slug
    # The middle of a bow stands between its components.
    is_bow = ComponentKind.STRUCTURE_SECTION in cause.stands_at
    if hypothesis.position_m is not None and (is_bow or not hypothesis.component):
        asked["at"] = f"{hypothesis.position_m:.2f}"
    elif hypothesis.position_m is not None:
        asked["at"] = hypothesis.component
    if detail.get("belt_position_m") is not None:
        asked["belt_at"] = f"{detail['belt_position_m']:.1f}"
    if detail.get("side"):
        asked["side"] = detail["side"]
    if detail.get("size"):
        asked["size"] = f"{detail['size']:.3g}"
    if case is not None:
        asked["case"] = case.number
    address = reverse("what-if", args=[conveyor.plant.code, conveyor.tag])
    return f"{address}?{asked.urlencode()}"


@register.filter
def fault_words(asked: Asked, conveyor: Conveyor) -> str:
    """`0.7 deg, drives the belt to the right (sea side)`."""
    figure = formats.number_format(Decimal(asked.size_figure), use_l10n=True)
    said = [f"{figure} {asked.measure.unit}"]
    said.append(_("drives the belt to the %s") % side_words(asked.side.value, conveyor))
    if asked.bows_to is not None:
        said.append(_("the structure bows to the %s") % side_words(asked.bows_to.value, conveyor))
    return "; ".join(said)


@register.filter
def reach_words(picture: Picture) -> str:
    before, behind = picture.reach_upstream_m, picture.reach_downstream_m
    if before is None or behind is None:
        return _("no end to be told")
    return _("%(before)s before and %(behind)s behind its place") % {
        "before": metres(before),
        "behind": metres(behind),
    }


@register.filter
def seen_at_words(seen: SeenAt) -> str:
    """`half, 52 mm right`; of a centred belt the word alone."""
    degree = str(DEGREE_WORDS[seen.degree])
    return degree if seen.side is None else f"{degree}, {offset_words(seen.offset_mm)}"
