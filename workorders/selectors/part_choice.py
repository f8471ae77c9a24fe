"""Which parts an order may want: by what was looked for, else by its words and its place."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from diagnostics.selectors.field_notes import where_named
from workorders.models import Part, WorkOrder
from workorders.planning.part_naming import LIKE_ENOUGH, likeness
from workorders.selectors.part_figures import PartFigures, PartsWanted, parts_wanted, with_figures
from workorders.selectors.where_used import PartFitting, parts_fitting

MOST = 20


@dataclass(frozen=True)
class WordsOfOrder:
    """Words of the order's own list of parts; `is_settled` once a line answers to them."""

    words: str
    is_settled: bool


def parts_to_choose(order: WorkOrder, asked: str, today: date) -> list[PartFigures]:
    """At most twenty, the likeliest first; those on the order already are left out.

    With nothing asked, those that fit its place or answer to its list of parts.
    """
    plant_id = order.conveyor.plant_id
    parts = Part.objects.filter(plant_id=plant_id, retired_on__isnull=True).exclude(
        order_parts__order=order
    )
    days = {plant_id: today}
    if asked.strip():
        liked = _liked(parts, [asked])
        found = parts_wanted(parts, PartsWanted(words=asked), days)[:MOST]
        rows = [*with_figures(parts.filter(pk__in=liked[:MOST]), days), *found]
        return _in_order(rows, liked)
    fitting = _fitting(order, parts, today)
    liked = _liked(parts, order.parts)
    rows = [*with_figures(parts.filter(pk__in=liked[:MOST]), days)]
    return _in_order([*rows, *(one.figures.part for one in fitting)], liked)


def words_of(order: WorkOrder, on_order: list[Part]) -> list[WordsOfOrder]:
    """The order's list of parts, each with whether a part on the order answers to it."""
    return [
        WordsOfOrder(words, any(likeness(words, _names(part)) >= LIKE_ENOUGH for part in on_order))
        for words in order.parts
    ]


def _fitting(order: WorkOrder, parts: QuerySet[Part], today: date) -> list[PartFitting]:
    if not order.component:
        return []
    component, _position_m = where_named(order.conveyor, order.component)
    if component is None:
        return []
    component.conveyor = order.conveyor
    return parts_fitting(component, parts, today)


def _liked(parts: QuerySet[Part], written: list[str]) -> list[int]:
    """Those that answer to one of the texts, the likeliest first."""
    scores = {
        part.pk: max(likeness(words, _names(part)) for words in written)
        for part in (parts if written else ())
    }
    liked = [pk for pk, score in scores.items() if score >= LIKE_ENOUGH]
    return sorted(liked, key=lambda pk: -scores[pk])


def _names(part: Part) -> tuple[str, ...]:
    return (part.number, part.name, *part.known_as)


def _in_order(rows: list[Part], liked: list[int]) -> list[PartFigures]:
    by_pk = {row.pk: row for row in rows}
    ranked = {pk: rank for rank, pk in enumerate(liked)}
    ordered = sorted(by_pk.values(), key=lambda row: ranked.get(row.pk, len(liked)))
    return [PartFigures.of(row) for row in ordered[:MOST]]
