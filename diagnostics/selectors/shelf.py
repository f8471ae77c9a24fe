"""What a plant goes by: the edition of knowledge it has in force, else the installed files.

Every question asks the database which edition that is, in one small query; what an edition says
is parsed once a process and kept by its number and digest.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.knowledge_entries import Library, checked_library
from diagnostics.models import KnowledgeChange, KnowledgeEdition

# An installation has few plants, each with one edition in force; the rest is for drafts.
_KEPT_LIBRARIES = 24
_kept: dict[tuple[int, str], Library] = {}


@dataclass(frozen=True)
class InForce:
    """`edition_id` is None where the plant goes by the installed files."""

    edition_id: int | None
    library: Library

    @property
    def knowledge(self) -> Knowledge:
        return self.library.knowledge


def in_force(plant_id: int) -> InForce:
    """What the plant goes by at this moment."""
    row = edition_in_force(plant_id)
    if row is None:
        return InForce(None, knowledge_files.library())
    return InForce(row.pk, library_in(row))


def library_of(plant_id: int) -> Library:
    """Knowledge and work methods the plant goes by."""
    return in_force(plant_id).library


def knowledge_of(plant_id: int) -> Knowledge:
    """Catalogue and rules the plant goes by."""
    return in_force(plant_id).knowledge


def library_in(edition: KnowledgeEdition) -> Library:
    """What one edition says, a draft too; its contents are only fetched when they are needed.

    Raises
    ------
    KnowledgeError
        It was written for another state of this program and cannot be used.
    """
    key = (edition.number, edition.digest)
    library = _kept.get(key)
    if library is None:
        library = checked_library(edition.contents, edition.version_text)
        # Somebody may have gone on with a draft between its row and its contents.
        if digest_of(edition.contents) == edition.digest:
            _kept[key] = library
        # Two threads may both come here; the second finds the oldest gone.
        while len(_kept) > _KEPT_LIBRARIES:
            _kept.pop(next(iter(_kept)), None)
    return library


def edition_in_force(plant_id: int) -> KnowledgeEdition | None:
    """Without its contents, which come with a second query when they are asked for."""
    rows = KnowledgeEdition.objects.filter(plant_id=plant_id).defer("contents")
    return rows.filter(state=EditionState.IN_FORCE.value).first()


def documents_of(plant_id: int) -> Mapping[str, Any]:
    """The four documents the plant goes by, by file name."""
    row = edition_in_force(plant_id)
    return knowledge_files.documents() if row is None else row.contents


def installed_version() -> str:
    """Of the files, for plants and people who have nothing else."""
    return knowledge_files.current().version


def is_stale(draft: KnowledgeEdition) -> bool:
    """Something else came in force since the draft was begun."""
    return in_force(draft.plant_id).edition_id != draft.based_on_id or (
        draft.based_on_id is None and digest_of(knowledge_files.documents()) != draft.base_digest
    )


def clashes(change: KnowledgeChange, stands: Mapping[str, Any] | None) -> bool:
    """Whether an entry that a draft changed has been changed in what is in force as well."""
    return mark_of(stands) not in (mark_of(change.before), mark_of(change.after))


def base_documents(edition: KnowledgeEdition) -> Mapping[str, Any]:
    """What was in force when an edition was begun.

    Files that were installed anew since a draft of them was begun count as they are now; such a
    draft is stale and is carried over before it can be published.
    """
    base = edition.based_on
    return knowledge_files.documents() if base is None else base.contents


_on_this_page: ContextVar[dict[int, Library] | None] = ContextVar("on_this_page", default=None)


@contextmanager
def one_page() -> Iterator[None]:
    """While one page is made its words come from one edition, asked for once a plant."""
    before = _on_this_page.set({})
    try:
        yield
    finally:
        _on_this_page.reset(before)


def shown_library_of(plant_id: int) -> Library:
    """For the words of pages; whoever decides or writes asks `library_of`."""
    known = _on_this_page.get()
    if known is None:
        return library_of(plant_id)
    if plant_id not in known:
        known[plant_id] = library_of(plant_id)
    return known[plant_id]


def shown_cause(plant_id: int, slug: str) -> Cause | None:
    """As the plant knows it, else as it was installed: an old case may name what was dropped."""
    known = shown_library_of(plant_id).knowledge.causes
    return known.get(slug) or knowledge_files.current().causes.get(slug)
