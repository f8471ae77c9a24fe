"""What stands on the labels of conveyors and of components."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from plant.labels.codes import code_svg
from plant.labels.layout import SheetLayout, sheets_of
from plant.loop.idler_sets import IdlerSet
from plant.models import Component, Conveyor
from plant.words import KIND_WORDS

# A code takes some 30 ms to lay out; whoever wants more prints them kind by kind.
MOST_LABELS = 300


class Opens(StrEnum):
    """What a label's code opens."""

    PAGE = "page"
    COMPLAINT = "complaint"


@dataclass(frozen=True)
class Label:
    """Lines from the top; `path` is the address without scheme and host."""

    tag: str
    name: str
    what: str
    place: str
    opens: str
    path: str


def of_conveyor(conveyor: Conveyor, opens: Opens) -> Label:
    path = reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])
    if opens is Opens.COMPLAINT:
        path = f"{reverse('complaint-new')}?conveyor={conveyor.pk}"
    place = ", ".join(filter(None, [conveyor.plant.name, conveyor.area]))
    return Label(conveyor.tag, conveyor.name, "", place, _opens_words(opens), path)


def of_component(conveyor: Conveyor, component: Component, opens: Opens) -> Label:
    path = reverse("component", args=[conveyor.plant.code, conveyor.tag, component.pk])
    if opens is Opens.COMPLAINT:
        asked = f"conveyor={conveyor.pk}&component={component.pk}"
        path = f"{reverse('complaint-new')}?{asked}"
    kind, at = component.get_kind_display(), f"{component.first_m:.1f}"
    what = _("%(kind)s, at %(at)s\N{NO-BREAK SPACE}m") % {"kind": kind, "at": at}
    if component.count > 1:
        last = f"{component.last_m:.1f}"
        what = _("%(kind)s, %(at)s to %(last)s\N{NO-BREAK SPACE}m") % {
            "kind": kind,
            "at": at,
            "last": last,
        }
    place = conveyor.plant.name
    return Label(conveyor.tag, component.name, what, place, _opens_words(opens), path)


def of_set(conveyor: Conveyor, one: IdlerSet, opens: Opens) -> Label:
    """A numbered set goes by its name, which outlives the row it stands in."""
    address = [conveyor.plant.code, conveyor.tag]
    path = reverse("idler-set", args=[*address, one.key, one.place])
    name = one.name
    if one.number is not None:
        path = reverse("idler-set-called", args=[*address, one.name])
    elif one.place > 1:
        name = f"{one.name}/{one.place}"
    if opens is Opens.COMPLAINT:
        path = f"{reverse('complaint-new')}?conveyor={conveyor.pk}&component={one.key}"
    kind, at = KIND_WORDS[one.kind], f"{one.at_m:.1f}"
    what = _("%(kind)s, at %(at)s\N{NO-BREAK SPACE}m") % {"kind": kind, "at": at}
    return Label(conveyor.tag, name, what, conveyor.plant.name, _opens_words(opens), path)


def sheet_values(
    labels: Sequence[Label],
    layout: SheetLayout,
    absolute: Callable[[str], str],
    *,
    has_outlines: bool,
) -> dict[str, Any]:
    """Values of the template; `absolute` puts scheme and host before a path."""
    filled = [_filled(one, absolute) for one in labels]
    sheets: list[list[dict[str, str] | None]] = [
        [filled[place] for place in sheet] for sheet in sheets_of(len(filled), layout)
    ]
    if sheets:
        sheets[0] = [*_used(layout.skip), *sheets[0]]
    return {
        "title": _("Labels"),
        "maker": "Loopwright",
        "lang": (get_language() or "en").split("-")[0],
        "label_width": layout.label_width_mm,
        "label_height": layout.label_height_mm,
        "code": layout.code_mm,
        "is_wide": layout.is_wide,
        "margin": layout.margin_mm,
        "gap": layout.gap_mm,
        "across": layout.across,
        "down": layout.down,
        "outlines": has_outlines,
        "sheets": sheets,
    }


def _used(places: int) -> Iterable[None]:
    return (None for _place in range(places))


def _filled(label: Label, absolute: Callable[[str], str]) -> dict[str, str]:
    address = absolute(label.path)
    return {
        "tag": label.tag,
        "name": label.name,
        "what": label.what,
        "place": label.place,
        "opens": label.opens,
        "address": address,
        "code": code_svg(address),
    }


def _opens_words(opens: Opens) -> str:
    return _("Report a fault here") if opens is Opens.COMPLAINT else _("Open its page")
