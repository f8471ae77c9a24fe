"""What the standing diagnosis suspects, as a list to check, and where a station stands."""

from dataclasses import dataclass

from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference.causes import Cause
from diagnostics.models import Case, Finding
from diagnostics.selectors import shelf
from plant.loop.parts import GeometryError
from plant.loop.path import Loop
from plant.loop.zones import zone_at
from plant.models import Component, Conveyor
from plant.selectors.loops import loop_of


@dataclass(frozen=True)
class Suspect:
    """One cause at one place; `last` is what a close look there showed, if anybody looked."""

    cause: Cause
    component: str
    position_m: float | None
    probability: float | None
    last: Finding | None


@dataclass(frozen=True)
class NamedPlace:
    component: str
    zone: str
    position_m: float | None


def suspects_of(case: Case) -> list[Suspect]:
    """In the order of the standing diagnosis, each cause and place once."""
    known = shelf.knowledge_of(case.conveyor.plant_id).causes
    findings = Finding.objects.filter(case=case, taken_back_at__isnull=True)
    last = {(one.cause, one.place.casefold()): one for one in findings}
    rows = case.hypotheses.filter(diagnosis__superseded_at__isnull=True, diagnosis__isnull=False)
    found: dict[tuple[str, str], Suspect] = {}
    for row in rows:
        key = (row.cause, row.component.casefold())
        if row.cause in known and key not in found:
            found[key] = Suspect(
                known[row.cause], row.component, row.position_m, row.probability, last.get(key)
            )
    return list(found.values())


def cautions_of(causes: list[Cause], plant_id: int) -> list[str]:
    """Their cautions, each once, in the order in which the causes are suspected."""
    known = shelf.shown_library_of(plant_id).knowledge.cautions
    slugs = dict.fromkeys(slug for cause in causes for slug in cause.cautions)
    return [known[slug] for slug in slugs if slug in known]


def causes_by_class(plant_id: int) -> list[tuple[str, list[tuple[str, str]]]]:
    """All causes for a choice, grouped by class, both in the order of the catalogue."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for cause in shelf.knowledge_of(plant_id).causes.values():
        words = str(CLASS_WORDS[cause.cause_class])
        groups.setdefault(words, []).append((cause.slug, cause.name))
    return list(groups.items())


def loop_or_none(conveyor: Conveyor) -> Loop | None:
    try:
        return loop_of(conveyor)
    except GeometryError:
        return None


def place_named(loop: Loop | None, name: str) -> NamedPlace | None:
    """Where a station stands; None when the register knows none of this name.

    While the loop is not closed every name is taken as it is.
    """
    if loop is None:
        return NamedPlace(name.strip(), "", None)
    station = loop.station_named(name)
    if station is None:
        return None
    return NamedPlace(station.name, zone_at(loop, station.position_m).value, station.position_m)


def component_at(conveyor: Conveyor, name: str) -> Component | None:
    """The component, or the group of idler sets, a station belongs to."""
    wanted = name.strip().casefold()
    for component in conveyor.components.all():
        names = (station.name.casefold() for station in component.as_part().stations())
        if wanted and wanted in names:
            return component
    return None
