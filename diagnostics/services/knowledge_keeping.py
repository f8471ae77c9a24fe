"""Drafts of a plant's knowledge: begun, edited entry by entry, carried over, discarded.

All of it under the lock of the plant, so that of two people one is always first. Nothing of a
change is kept unless the whole draft still makes sense.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Documents, Entry, Kind, entries_of, with_entry
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.knowledge_entries import checked_library
from diagnostics.knowledge_schema import KnowledgeError
from diagnostics.models import KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import shelf
from plant.errors import DomainError
from plant.models import Plant, User

LONGEST_WHY = 400


class DraftExists(DomainError):
    code = "draft_exists"


class NoDraft(DomainError):
    code = "no_draft"


class DraftHasChanged(DomainError):
    code = "draft_has_changed"


class ReasonOfChangeMissing(DomainError):
    code = "reason_of_change_missing"


class EntryRefused(DomainError):
    """`kind` and `slug` name the entry, `field` what of it cannot be used."""

    code = "entry_refused"

    def __init__(self, error: KnowledgeError) -> None:
        self.file, self.entry, self.field = error.file, error.entry, error.field
        super().__init__(str(error))


class EntryHasChanged(DomainError):
    """Somebody else was first; `stands` is what the draft says now, None when it is gone."""

    code = "entry_has_changed"

    def __init__(self, text: str, stands: Entry | None) -> None:
        self.stands = stands
        super().__init__(text)


@dataclass(frozen=True)
class Wanted:
    """An entry as somebody wants it; None removes it. `seen` marks what they began from."""

    kind: Kind
    slug: str
    entry: Entry | None
    seen: str


@transaction.atomic
def begin_draft(*, plant_id: int, title: str, by: User | None, now: datetime) -> KnowledgeEdition:
    """Begin a draft from what is in force; refuses with DraftExists, one at a time."""
    lock_plant(plant_id)
    rows = KnowledgeEdition.objects.filter(plant_id=plant_id)
    if rows.filter(state=EditionState.DRAFT.value).exists():
        raise DraftExists(_("There is a draft already. Go on with it, or discard it first."))
    documents = shelf.documents_of(plant_id)
    return KnowledgeEdition.objects.create(
        plant_id=plant_id,
        number=next_number(plant_id),
        contents=documents,
        digest=digest_of(documents),
        title=title.strip()[:200],
        based_on_id=shelf.in_force(plant_id).edition_id,
        base_digest=digest_of(documents),
        drafted_by=by,
        drafted_at=now,
    )


def keep_entry(
    *, draft_id: int, wanted: Wanted, why: str, by: User | None, now: datetime
) -> KnowledgeEdition:
    """Change, add or remove one entry of a draft; refuses as `keep_entries`."""
    return keep_entries(draft_id=draft_id, wanted=[wanted], why=why, by=by, now=now)


@transaction.atomic
def keep_entries(
    *, draft_id: int, wanted: Iterable[Wanted], why: str, by: User | None, now: datetime
) -> KnowledgeEdition:
    """Change, add or remove entries of a draft, all or none.

    Refuses with NoDraft, ReasonOfChangeMissing, EntryHasChanged when an entry is no longer as
    it was seen, and EntryRefused when the draft would not make sense any more.
    """
    if not why.strip():
        raise ReasonOfChangeMissing(_("Say why it is changed; whoever reads it later asks that."))
    draft = lock_draft(draft_id)
    base = {(one.kind, one.slug): one.before for one in draft.changes.all()}
    wanted = list(wanted)
    given = versions_given(draft, [one.slug for one in wanted])
    changed = [_put(draft, base, given, one) for one in wanted]
    # Before anything is written: a text that no database takes is refused in words, too.
    check_whole(draft.contents)
    _note(draft, changed, why=why.strip()[:LONGEST_WHY], by=by, now=now)
    return _save(draft)


@transaction.atomic
def take_back_change(*, draft_id: int, kind: Kind, slug: str, seen: str) -> KnowledgeEdition:
    """Let an entry of a draft say again what it said when the draft was begun.

    Refuses with NoDraft, EntryHasChanged, and EntryRefused when something else leans on it.
    """
    draft = lock_draft(draft_id)
    stands = entries_of(draft.contents, kind).get(slug)
    if mark_of(stands) != seen:
        raise EntryHasChanged(_("Somebody changed this meanwhile. Look at it again."), stands)
    draft.changes.filter(kind=kind.value, slug=slug).delete()
    # From the beginning again, so that what was removed comes back in its old place.
    draft.contents = with_changes(shelf.base_documents(draft), draft.changes.all())
    return save_draft(draft)


@transaction.atomic
def discard_draft(*, draft_id: int, version: int, now: datetime) -> KnowledgeEdition:
    """Give a draft up; it stays readable. Refuses with NoDraft and DraftHasChanged."""
    draft = lock_draft(draft_id)
    check_version(draft, version)
    draft.state, draft.ended_at = EditionState.DISCARDED.value, now
    draft.save(update_fields=["state", "ended_at"])
    return draft


def lock_plant(plant_id: int) -> None:
    """Whatever changes a plant's editions waits for whoever does so already."""
    Plant.objects.select_for_update(no_key=True).get(pk=plant_id)


def lock_draft(draft_id: int) -> KnowledgeEdition:
    plant_id = KnowledgeEdition.objects.values_list("plant_id", flat=True).get(pk=draft_id)
    lock_plant(plant_id)
    draft = KnowledgeEdition.objects.get(pk=draft_id)
    if not draft.is_draft:
        raise NoDraft(
            _("Edition %(number)d is no draft any more. Begin a new one.")
            % {"number": draft.number}
        )
    return draft


def check_version(draft: KnowledgeEdition, version: int) -> None:
    if draft.version != version:
        raise DraftHasChanged(
            _("The draft was changed since you opened this page. Look at what it says now.")
        )


def next_number(plant_id: int) -> int:
    rows = KnowledgeEdition.objects.filter(plant_id=plant_id)
    return (rows.aggregate(last=Max("number"))["last"] or 0) + 1


def check_whole(documents: Documents) -> None:
    """Refuses with EntryRefused what the engine could not read."""
    try:
        checked_library(documents, "")
    except KnowledgeError as error:
        raise EntryRefused(error) from error


def with_changes(documents: Documents, changes: Iterable[KnowledgeChange]) -> Documents:
    for one in changes:
        documents = with_entry(documents, Kind(one.kind), one.slug, one.after)
    return documents


def _check_named(wanted: Wanted) -> None:
    if wanted.entry is None:
        return
    is_named = isinstance(wanted.entry, Mapping) and wanted.entry.get("slug") == wanted.slug
    if not is_named:
        text = f"must be {wanted.slug!r}; an entry keeps its name"
        raise EntryRefused(KnowledgeError(wanted.kind.file, wanted.slug, "slug", text))


def _put(
    draft: KnowledgeEdition,
    base: Mapping[tuple[str, str], Any],
    given: Mapping[str, int],
    wanted: Wanted,
) -> tuple[tuple[str, str], Entry | None, Entry | None]:
    """Put an entry into the contents, unsaved; its key, and what it said before and says now."""
    _check_named(wanted)
    stands = entries_of(draft.contents, wanted.kind).get(wanted.slug)
    if mark_of(stands) != wanted.seen:
        raise EntryHasChanged(
            _("Somebody changed this meanwhile. Compare, then keep yours or theirs."), stands
        )
    key = (wanted.kind.value, wanted.slug)
    before = base.get(key, stands)
    entry = numbered(given, key[0], wanted.entry, before)
    draft.contents = with_entry(draft.contents, wanted.kind, wanted.slug, entry)
    return key, before, entry


def _note(
    draft: KnowledgeEdition,
    changed: Iterable[tuple[tuple[str, str], Entry | None, Entry | None]],
    *,
    why: str,
    by: User | None,
    now: datetime,
) -> None:
    """Of each entry its last change; none where it says again what it said in the beginning."""
    last: dict[tuple[str, str], tuple[Entry | None, Entry | None]] = {}
    for key, before, after in changed:
        # What is wanted twice is noted once, from what it said first to what it says last.
        last[key] = (last[key][0] if key in last else before, after)
    noted = {(one.kind, one.slug): one.pk for one in draft.changes.only("kind", "slug")}
    draft.changes.filter(pk__in=[noted[key] for key in last if key in noted]).delete()
    KnowledgeChange.objects.bulk_create(
        KnowledgeChange(
            edition=draft,
            kind=kind,
            slug=slug,
            before=before,
            after=after,
            changed_at=now,
            changed_by=by,
            why=why,
        )
        for (kind, slug), (before, after) in last.items()
        if mark_of(after) != mark_of(before)
    )


def versions_given(draft: KnowledgeEdition, slugs: Iterable[str]) -> dict[str, int]:
    """The highest version this plant has ever given each of some rules."""
    rows = KnowledgeChange.objects.filter(
        edition__plant_id=draft.plant_id,
        edition__published_at__isnull=False,
        kind=Kind.RULE.value,
        slug__in=list(slugs),
        after__isnull=False,
    )
    found: dict[str, int] = {}
    for slug, version in rows.values_list("slug", "after__version"):
        found[slug] = max(found.get(slug, 0), version or 0)
    return found


def numbered(
    given: Mapping[str, int], kind: str, entry: Entry | None, before: Entry | None
) -> Entry | None:
    """A changed rule counts its versions on, past any this plant has `given` it."""
    if entry is None or kind != Kind.RULE:
        return entry
    if before is not None and mark_of({**entry, "version": before["version"]}) == mark_of(before):
        # Nothing but the version would differ.
        return before
    last = before["version"] if before is not None else 0
    return {**entry, "version": max(given.get(entry["slug"], 0), last) + 1}


def save_draft(draft: KnowledgeEdition) -> KnowledgeEdition:
    """Its contents as they are now; refuses with EntryRefused what does not go together."""
    check_whole(draft.contents)
    return _save(draft)


def _save(draft: KnowledgeEdition) -> KnowledgeEdition:
    draft.digest = digest_of(draft.contents)
    draft.version += 1
    draft.save(update_fields=["contents", "digest", "version"])
    return draft
