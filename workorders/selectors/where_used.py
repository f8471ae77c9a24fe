"""Where a part is used, by the register; and which parts fit a component."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Max, Prefetch, Q, QuerySet

from plant.loop.rolls import rolls_of
from plant.models import Belt, Component, Conveyor, RollChange
from workorders.models import Part, PartUse
from workorders.planning.part_places import BELT, CountedBy, Fit, Place, Use, fit_of
from workorders.selectors.part_figures import PartFigures, with_figures

_LATEST = 8
_YEAR = timedelta(days=365)
_SHORTEST_WORD = 3


@dataclass(frozen=True)
class UsedAt:
    """`component` is None for the belt; days are None where nobody wrote them down."""

    conveyor: Conveyor
    component: Component | None
    fit: Fit
    fitted_on: date | None
    last_changed_on: date | None = None
    changed_in_a_year: int = 0


@dataclass(frozen=True)
class PartFitting:
    """A part that fits; `fit` is None when only past roll changes speak for it."""

    figures: PartFigures
    fit: Fit | None


def places_of(part: Part, today: date) -> list[UsedAt]:
    """By conveyor, in the direction of travel; four queries."""
    said = list(part.uses.all())
    uses = [_use(one) for one in said]
    kinds = {one.on for one in uses}
    if not kinds:
        return []
    conveyors = Conveyor.objects.in_service().filter(plant_id=part.plant_id)
    belts = {one.conveyor_id: one for one in _fitted(conveyors)}
    found = [
        UsedAt(component.conveyor, component, fit, component.fitted_on)
        for component in _components(conveyors, kinds)
        if (fit := fit_of(uses, _place(component, belts.get(component.conveyor_id))))
    ]
    if BELT in kinds:
        found += [
            UsedAt(belt.conveyor, None, fit, belt.fitted_on)
            for belt in belts.values()
            if (fit := fit_of(uses, _belt_place(belt)))
        ]
    return sorted(_with_changes(found, today), key=_in_order)


def written_of(part: Part) -> tuple[int, list[RollChange]]:
    """How many roll changes name it in their own words, and the latest of them; two queries."""
    rows = RollChange.objects.filter(conveyor__plant_id=part.plant_id, undone_at__isnull=True)
    named = rows.filter(_naming(part))
    return named.count(), list(named.select_related("conveyor", "component")[:_LATEST])


def parts_fitting(component: Component, parts: QuerySet[Part], today: date) -> list[PartFitting]:
    """Those of the parts that fit a component, and those its roll changes speak of.

    `parts` are those of its plant; five queries.
    """
    conveyor = component.conveyor
    on_it = Q(uses__on=component.kind) & (
        Q(uses__conveyor__isnull=True) | Q(uses__conveyor=conveyor)
    )
    fitted = _fitted_words(component)
    rolls = parts.filter(kind=Part.Kind.ROLL) if fitted else []
    named = [one.pk for one in rolls if _is_named(one, fitted)]
    days = {conveyor.plant_id: today}
    rows = with_figures(
        parts.filter(pk__in=parts.filter(on_it | Q(pk__in=named)).values("pk")), days
    ).prefetch_related(Prefetch("uses", PartUse.objects.filter(on=component.kind)))
    place = _place(component, _fitted(Conveyor.objects.filter(pk=conveyor.pk)).first())
    found = [
        PartFitting(PartFigures.of(one), fit_of([_use(use) for use in one.uses.all()], place))
        for one in rows.order_by("number")
    ]
    return [one for one in found if one.fit or one.figures.part.pk in named]


def _use(row: PartUse) -> Use:
    return Use(
        on=row.on,
        each=row.each,
        by=CountedBy(row.by),
        conveyor=row.conveyor_id,
        name=row.name,
        belt_width_mm=row.belt_width_mm,
        belt_strength_n_mm=row.belt_strength_n_mm,
        diameter_mm=row.diameter_mm,
    )


def _fitted(conveyors: QuerySet[Conveyor]) -> QuerySet[Belt]:
    rows = Belt.objects.filter(conveyor__in=conveyors, removed_on__isnull=True)
    return rows.select_related("conveyor__plant")


def _components(conveyors: QuerySet[Conveyor], kinds: Iterable[str]) -> QuerySet[Component]:
    rows = Component.objects.filter(conveyor__in=conveyors, kind__in=kinds)
    return rows.select_related("conveyor__plant")


def _place(component: Component, belt: Belt | None) -> Place:
    return Place(
        on=component.kind,
        conveyor=component.conveyor_id,
        name=component.name,
        sets=component.count,
        rolls=rolls_of(component.as_part(), component.conveyor.trough_angle_deg),
        length_m=component.length_m,
        belt_width_mm=belt.width_mm if belt else None,
        belt_strength_n_mm=belt.strength_n_mm if belt else None,
        diameter_mm=component.diameter_mm,
    )


def _belt_place(belt: Belt) -> Place:
    return Place(
        on=BELT,
        conveyor=belt.conveyor_id,
        length_m=belt.length_m,
        belt_width_mm=belt.width_mm,
        belt_strength_n_mm=belt.strength_n_mm,
    )


def _with_changes(found: list[UsedAt], today: date) -> list[UsedAt]:
    """Of rolls: when one of those that fit was changed last, and how many in a year."""
    groups = [one.component.pk for one in found if one.component and one.fit.rolls]
    rows = (
        RollChange.objects.filter(component__in=groups, undone_at__isnull=True)
        .order_by()
        .values_list("component", "roll")
        .annotate(
            last=Max("changed_on"), in_a_year=Count("pk", filter=Q(changed_on__gt=today - _YEAR))
        )
    )
    changes: dict[tuple[int | None, str], tuple[date, int]] = defaultdict(lambda: (date.min, 0))
    changes |= {(row[0], row[1]): (row[2], row[3]) for row in rows}
    told = []
    for one in found:
        key = one.component.pk if one.component else None
        mine = [changes[key, roll.value] for roll in one.fit.rolls]
        last = max((day for day, _count in mine), default=date.min)
        how_many = sum(count for _day, count in mine)
        told.append(
            UsedAt(
                one.conveyor,
                one.component,
                one.fit,
                one.fitted_on,
                None if last == date.min else last,
                how_many,
            )
        )
    return told


def _in_order(one: UsedAt) -> tuple[str, float]:
    return one.conveyor.tag, float(one.component.first_m) if one.component else -1.0


def _naming(part: Part) -> Q:
    found = Q(pk__in=[])
    for words in _names(part):
        found |= Q(fitted__iregex=_as_words(words))
    return found


def _names(part: Part) -> list[str]:
    """What a roll change may call it; only rolls are fitted by one."""
    if part.kind != Part.Kind.ROLL:
        return []
    return [name for name in (part.number, *part.known_as) if len(name) >= _SHORTEST_WORD]


def _as_words(name: str) -> str:
    """A pattern by which 133 is not found in 1330; the same to Python and to the database."""
    return rf"(^|\W){re.escape(name)}(\W|$)"


def _fitted_words(component: Component) -> list[str]:
    if not component.is_idler:
        return []
    rows = component.roll_changes.filter(undone_at__isnull=True).exclude(fitted="").order_by()
    return list(rows.values_list("fitted", flat=True).distinct()[:100])


def _is_named(part: Part, fitted: list[str]) -> bool:
    patterns = [re.compile(_as_words(name), re.IGNORECASE) for name in _names(part)]
    return any(pattern.search(words) for pattern in patterns for words in fitted)
