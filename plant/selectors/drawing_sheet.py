"""The drawing of a conveyor's loop with all that belongs on it: of the whole or of a stretch."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects
from django.urls import reverse
from django.utils.translation import gettext as _

from plant.drawing_layers import Layer
from plant.loop.belt_places import Instant, loop_position_m
from plant.loop.drawing.minimap import Minimap, minimap
from plant.loop.drawing.shown import Stretch
from plant.loop.path import Loop
from plant.loop.profile import kept_profile
from plant.models import Belt, BeltMark, Component, Conveyor, Splice
from plant.selectors import loops
from plant.selectors.drawing import Mark, MarkKind, Rider, loop_drawing

# What was fitted no longer ago counts as replaced lately; engineering judgement.
LATELY = timedelta(days=30)
# More pins than that hide the loop; of many the newest are shown.
PINS = 12
_ROWS = 60


@dataclass(frozen=True)
class LoopRows:
    """What the register holds of one loop."""

    conveyor: Conveyor
    state: loops.RegisterState
    components: list[Component]
    belt: Belt | None
    splices: list[Splice]
    marks: list[BeltMark]

    @property
    def length_m(self) -> float:
        return self.state.loop.length_m if self.state.loop else 0.0

    @property
    def turn_s(self) -> float:
        """One turn of the belt. [s]"""
        length_m = self.belt.length_m if self.belt else self.length_m
        return length_m / self.conveyor.speed_mps


@dataclass(frozen=True)
class Standing:
    """A component that stands in the stretch, with its address."""

    component: Component
    href: str


@dataclass(frozen=True)
class DrawingSheet:
    """`here` is what stands in the stretch, `more` how many rows are left out of it."""

    drawing: dict[str, Any]
    says: str
    map: Minimap | None = None
    here: tuple[Standing, ...] = ()
    more: int = 0


def loop_rows(conveyor: Conveyor) -> LoopRows:
    """Four queries: components, the fitted belt, its splices and marks."""
    fitted = Belt.objects.filter(removed_on__isnull=True).prefetch_related("splices", "marks")
    rows = Prefetch("belts", queryset=fitted, to_attr="fitted_belts")
    prefetch_related_objects([conveyor], "components", rows)
    belt = next(iter(conveyor.fitted_belts), None)  # type: ignore[attr-defined]
    components = list(conveyor.components.all())
    return LoopRows(
        conveyor,
        loops.state_of_rows(conveyor, components, belt),
        components,
        belt,
        list(belt.splices.all()) if belt else [],
        list(belt.marks.all()) if belt else [],
    )


def drawing_sheet(
    rows: LoopRows, layer: Layer, now: datetime, stretch: Stretch | None, instant: Instant
) -> DrawingSheet:
    """No query."""
    conveyor, loop = rows.conveyor, rows.state.loop
    if loop is None:
        nothing = {"conveyor": conveyor, "figures": (), "missing": rows.state.missing}
        return DrawingSheet(nothing, "")
    hrefs = component_addresses(conveyor, rows.components)
    drawing = loop_drawing(
        conveyor,
        layer.ribbon,
        (*layer.marks, *replaced_marks(rows.components, conveyor.plant.day_of(now), hrefs)),
        riders=riders_of(rows, loop, instant),
        stretch=stretch,
        loop=loop,
        part_href=hrefs,
    )
    if stretch is None:
        return DrawingSheet(drawing, layer.says)
    shown_hrefs = {place.href for figure in drawing["figures"] for place in figure.places}
    here = [one for one in rows.components if hrefs(one.name) in shown_hrefs]
    small = minimap(loop, stretch, lift_m=conveyor.lift_m, profile=kept_profile(conveyor.profile))
    shown = tuple(Standing(one, hrefs(one.name)) for one in here[:_ROWS])
    return DrawingSheet(drawing, layer.says, small, shown, max(0, len(here) - _ROWS))


def component_addresses(conveyor: Conveyor, components: list[Component]) -> Callable[[str], str]:
    """From a component's name to its page."""
    keys = {one.name: one.pk for one in components}
    where = (conveyor.plant.code, conveyor.tag)
    return lambda name: reverse("component", args=[*where, keys[name]]) if name in keys else ""


def replaced_marks(
    components: list[Component], today: date, href: Callable[[str], str]
) -> tuple[Mark, ...]:
    """Components fitted lately, the newest of many."""
    days = {one.pk: one.fitted_on for one in components if one.fitted_on}
    since = today - LATELY
    lately = [one for one in components if one.pk in days and since <= days[one.pk] <= today]
    newest = sorted(lately, key=lambda one: days[one.pk], reverse=True)[:PINS]
    return tuple(
        Mark(
            float(one.first_m),
            MarkKind.REPLACED,
            _("%(name)s, %(day)s") % {"name": one.name, "day": days[one.pk].isoformat()},
            href(one.name),
        )
        for one in newest
    )


def riders_of(rows: LoopRows, loop: Loop, instant: Instant) -> tuple[Rider, ...]:
    """Splices and marks of the belt where they are at the instant."""
    if rows.belt is None:
        return ()
    conveyor, belt = rows.conveyor, rows.belt
    page = reverse("belt", args=[conveyor.plant.code, conveyor.tag, belt.pk])

    def place(belt_position_m: float) -> float:
        return loop_position_m(
            belt_position_m,
            instant,
            belt_length_m=belt.length_m,
            loop_length_m=loop.length_m,
            speed_mps=conveyor.speed_mps,
        )

    def told(what: str, belt_position_m: float) -> str:
        return _("%(what)s, belt position %(on)s m, now at %(at)s m of the loop") % {
            "what": what,
            "on": f"{belt_position_m:.1f}",
            "at": f"{place(belt_position_m):.1f}",
        }

    splices = (
        Rider(
            place(one.belt_position_m),
            one.name,
            told(_("splice %(name)s") % {"name": one.name}, one.belt_position_m),
            page,
        )
        for one in rows.splices
    )
    marks = (
        Rider(
            place(one.belt_position_m),
            one.get_kind_display(),
            told(one.get_kind_display(), one.belt_position_m),
            page,
            is_splice=False,
            length_m=one.length_m or 0.0,
        )
        for one in rows.marks
    )
    return (*splices, *marks)
