"""Editions of a plant's knowledge as their pages show them, and the history of one rule."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_change_words import ShownChange, shown_change
from diagnostics.knowledge_comparison import (
    Documents,
    Entry,
    EntryChange,
    Kind,
    compare,
    entries_of,
)
from diagnostics.knowledge_digest import mark_of
from diagnostics.models import KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import shelf

_IN_FORCE_ONCE = (EditionState.IN_FORCE.value, EditionState.EARLIER.value)


@dataclass(frozen=True)
class Noted:
    """A change with who made it, when and why, and a mark of what stands."""

    row: KnowledgeChange
    shown: ShownChange
    mark: str


@dataclass(frozen=True)
class Clash:
    """An entry that a stale draft and what is in force have both changed."""

    change: KnowledgeChange
    shown: ShownChange

    @property
    def field_name(self) -> str:
        return f"{self.change.kind}-{self.change.slug}"


def editions_of(plant_id: int) -> QuerySet[KnowledgeEdition]:
    """The newest first, without their contents, each with its number of `changed` entries."""
    rows = KnowledgeEdition.objects.filter(plant_id=plant_id).defer("contents")
    rows = rows.select_related("drafted_by", "published_by", "based_on")
    rows = rows.defer("contents", "based_on__contents")
    return rows.annotate(changed=Count("changes")).order_by("-number")


def draft_of(plant_id: int) -> KnowledgeEdition | None:
    return editions_of(plant_id).filter(state=EditionState.DRAFT.value).first()


def changes_of(edition: KnowledgeEdition) -> QuerySet[KnowledgeChange]:
    return edition.changes.select_related("changed_by").order_by("-changed_at", "-pk")


def noted(rows: Iterable[KnowledgeChange], names: Mapping[str, str]) -> list[Noted]:
    return [Noted(one, shown_change(_as_change(one), names), mark_of(one.after)) for one in rows]


def _as_change(row: KnowledgeChange) -> EntryChange:
    return EntryChange(Kind(row.kind), row.slug, row.before, row.after)


def differences(before: Documents, after: Documents) -> tuple[EntryChange, ...]:
    return compare(before, after)


def shown(changes: Sequence[EntryChange], names: Mapping[str, str]) -> list[ShownChange]:
    return [shown_change(one, names) for one in changes]


def names_in(*documents: Documents) -> dict[str, str]:
    """Names of causes by slug; where several documents know one, the last one's."""
    return {
        slug: entry["name"]
        for one in documents
        for slug, entry in entries_of(one, Kind.CAUSE).items()
    }


def contents_of(edition: KnowledgeEdition | None) -> Documents:
    """Of an edition; of the installed files where there is none."""
    contents: Documents = knowledge_files.documents() if edition is None else edition.contents
    return contents


def clashes_of(draft: KnowledgeEdition) -> list[Clash]:
    """What somebody has to choose about before a stale draft goes on."""
    today = shelf.documents_of(draft.plant_id)
    names = names_in(draft.contents, today)
    found = []
    for row in draft.changes.all():
        stands = entries_of(today, Kind(row.kind)).get(row.slug)
        if shelf.clashes(row, stands):
            both = EntryChange(Kind(row.kind), row.slug, stands, row.after)
            found.append(Clash(row, shown_change(both, names)))
    return found


def entries_named(documents: Documents, kind: Kind, words: str) -> list[Entry]:
    """Entries of a kind all of whose wanted words are somewhere in them."""
    wanted = words.casefold().split()
    return [
        entry
        for entry in entries_of(documents, kind).values()
        if all(one in _text(entry) for one in wanted)
    ]


def _text(entry: Entry) -> str:
    parts = (str(entry.get(name, "")) for name in ("slug", "name", "says", "shows", "source"))
    return " ".join(parts).casefold()


def history_of(plant_id: int, kind: Kind, slug: str) -> QuerySet[KnowledgeChange]:
    """What editions that were in force changed of one entry, the newest first."""
    rows = KnowledgeChange.objects.filter(
        edition__plant_id=plant_id, edition__state__in=_IN_FORCE_ONCE, kind=kind.value, slug=slug
    )
    rows = rows.select_related("changed_by", "edition").defer("edition__contents")
    return rows.order_by("-edition__number")


def last_changes(plant_id: int, kind: Kind, slugs: Iterable[str]) -> dict[str, KnowledgeChange]:
    """By slug, the latest change that came in force; one query for a whole page."""
    rows = KnowledgeChange.objects.filter(
        edition__plant_id=plant_id,
        edition__state__in=_IN_FORCE_ONCE,
        kind=kind.value,
        slug__in=list(slugs),
    )
    rows = rows.select_related("changed_by", "edition").defer(
        "edition__contents", "before", "after"
    )
    return {one.slug: one for one in rows.order_by("edition__number")}
