"""What was changed in the register of a conveyor, newest first.

Several changes of one row in one transaction are one change: what lies between was never seen.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery, Value

from plant.models import BeltChange, Conveyor, Plant
from plant.models.register_changes import ADDED, CHANGED
from plant.selectors.change_words import KINDS, OTHER_KINDS, FieldChange, Kind, differences

# Changes are counted by table; with the table's rank beside it, a number is one change of all.
_RANKS = 16


@dataclass(frozen=True)
class Wanted:
    """Narrowed to one kind, to rows that had this name once, to one row."""

    kind: str = ""
    name: str = ""
    row: int | None = None


@dataclass(frozen=True)
class Change:
    """One change; `who` is empty for the system, `by_key` when it was another system's key."""

    key: int
    at: datetime
    who: str
    by_key: bool
    kind: Kind
    row_pk: int
    name: str
    what: str
    fields: Sequence[FieldChange]

    @property
    def pk(self) -> int:
        return self.key


class RegisterHistory:
    """Pages of changes, for a Paginator or by what was seen last: two queries a kind, and two.

    Of a conveyor and what is under it, or of a plant's own figures; `kinds` are those looked at.
    """

    def __init__(
        self,
        of: Conveyor | Plant,
        wanted: Wanted | None = None,
        kinds: Sequence[Kind] = KINDS,
    ) -> None:
        self._of_pk = of.pk
        self._wanted = wanted or Wanted()
        self._kinds = kinds

    def __len__(self) -> int:
        return self._keys(Q()).count()

    def __getitem__(self, which: slice) -> list[Change]:
        return _told(list(self._keys(Q())[which]))

    def after(self, seen: tuple[datetime, int] | None, most: int) -> list[Change]:
        """The next ones after the change seen last; from the newest on without one."""
        older = Q()
        if seen is not None:
            at, key = seen
            older = Q(at__lt=at) | Q(at=at, key__lt=key)
        return _told(list(self._keys(older)[:most]))

    def _keys(self, narrowed: Q) -> QuerySet[Any, tuple[datetime, int]]:
        kinds = [one for one in self._kinds if self._wanted.kind in ("", one.code)]
        rows = [self._of_kind(kind).filter(narrowed).values_list("at", "key") for kind in kinds]
        whole = rows[0].union(*rows[1:], all=True) if len(rows) > 1 else rows[0]
        return whole.order_by("-at", "-key")

    def _of_kind(self, kind: Kind) -> QuerySet[Any]:
        later = kind.change.objects.filter(
            pgh_obj=OuterRef("pgh_obj"),
            pgh_created_at=OuterRef("pgh_created_at"),
            pgh_id__gt=OuterRef("pgh_id"),
        )
        rows = changes_under(kind, self._of_pk).filter(~Exists(later))
        if self._wanted.row is not None:
            rows = rows.filter(pgh_obj=self._wanted.row)
        if self._wanted.name:
            rows = rows.filter(pgh_obj__in=_named(kind, self._of_pk, self._wanted.name))
        key = F("pgh_id") * Value(_RANKS) + Value(kind.rank)
        return rows.order_by().annotate(at=F("pgh_created_at"), key=key)


def changes_under(kind: Kind, of_pk: int) -> QuerySet[Any]:
    """All changes of rows of this kind that are or were the conveyor's, or are the plant."""
    rows: QuerySet[Any] = kind.change.objects.all()
    if kind.under == "belt":
        belts = BeltChange.objects.filter(conveyor=of_pk).values("pgh_obj")
        return rows.filter(belt__in=belts)
    return rows.filter(**{kind.under: of_pk})


def _named(kind: Kind, of_pk: int, name: str) -> QuerySet[Any]:
    held = Q(**{f"{kind.name_field}__icontains": name})
    if kind.other_name_field:
        held |= Q(**{f"{kind.other_name_field}__icontains": name})
    found = changes_under(kind, of_pk).filter(held)
    return found.order_by().values("pgh_obj")


def _told(keys: list[tuple[datetime, int]]) -> list[Change]:
    wanted: dict[int, list[int]] = defaultdict(list)
    for _at, key in keys:
        wanted[key % _RANKS].append(key // _RANKS)
    found: dict[int, Change] = {}
    for kind in (*KINDS, *OTHER_KINDS):
        if wanted[kind.rank]:
            found |= _changes(kind, wanted[kind.rank])
    return [found[key] for _at, key in keys if key in found]


def _changes(kind: Kind, numbers: list[int]) -> dict[int, Change]:
    rows = kind.change.objects
    before = rows.filter(pgh_obj=OuterRef("pgh_obj"), pgh_id__lt=OuterRef("pgh_id")).exclude(
        pgh_created_at=OuterRef("pgh_created_at")
    )
    last = Subquery(before.order_by("-pgh_id").values("pgh_id")[:1])
    changes = list(rows.filter(pgh_id__in=numbers).annotate(before=last))
    olds = rows.in_bulk([one.before for one in changes if one.before])
    return {
        (told := _change(kind, one, olds.get(one.before) if one.before else None)).key: told
        for one in changes
    }


def _change(kind: Kind, row: Any, old: Any) -> Change:
    context = row.pgh_context or {}
    is_first = old is None and row.pgh_label == CHANGED
    return Change(
        key=row.pgh_id * _RANKS + kind.rank,
        at=row.pgh_created_at,
        who=context.get("name", ""),
        by_key="key" in context,
        kind=kind,
        row_pk=row.pgh_obj_id,
        name=kind.name_of(row),
        what=ADDED if is_first else row.pgh_label,
        fields=differences(kind, old if row.pgh_label == CHANGED else None, row),
    )
