"""Bundles sent to a plant as their pages show them, compared with what they would be put upon."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from diagnostics import knowledge_files
from diagnostics.bundles import merging, writing
from diagnostics.bundles.merging import KindCounts
from diagnostics.bundles.shape import Heading
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_change_words import entry_name
from diagnostics.knowledge_comparison import Documents, EntryChange, Kind
from diagnostics.knowledge_digest import digest_of
from diagnostics.models import KnowledgeBundle, KnowledgeEdition
from diagnostics.selectors import shelf
from plant.models import Plant


@dataclass(frozen=True)
class Preview:
    """`draft` is what the bundle would be put into; without one it is what is in force."""

    draft: KnowledgeEdition | None
    ours: Documents
    seen: str
    counts: list[KindCounts]
    changes: Sequence[EntryChange]
    # Names of the entries that only the plant has, by kind.
    only_here: list[tuple[Kind, str]]
    # Keys of entries that the draft has given words of its own, which would be lost.
    written_over: frozenset[tuple[str, str]]

    @property
    def differing_kinds(self) -> list[Kind]:
        return [one.kind for one in self.counts if one.differing or one.gone]


def bundles_of(plant_id: int) -> QuerySet[KnowledgeBundle]:
    rows = KnowledgeBundle.objects.filter(plant_id=plant_id).defer("contents")
    return rows.select_related("sent_by", "taken_into").defer("contents", "taken_into__contents")


def put_upon(plant_id: int) -> tuple[KnowledgeEdition | None, Documents]:
    """The plant's draft, if there is one, and what a bundle would be put upon."""
    rows = KnowledgeEdition.objects.filter(plant_id=plant_id, state=EditionState.DRAFT.value)
    draft = rows.first()
    return draft, shelf.documents_of(plant_id) if draft is None else draft.contents


def preview_of(bundle: KnowledgeBundle) -> Preview:
    draft, ours = put_upon(bundle.plant_id)
    changes = merging.differences(ours, bundle.contents, is_dropping=True)
    changed = {(one.kind, one.slug) for one in draft.changes.all()} if draft else set()
    touched = {(one.kind.value, one.slug) for one in changes if not one.is_gone}
    return Preview(
        draft=draft,
        ours=ours,
        seen=digest_of(ours),
        counts=merging.counts(ours, bundle.contents),
        changes=[one for one in changes if not one.is_gone],
        only_here=[(one.kind, entry_name(one.before or {})) for one in changes if one.is_gone],
        written_over=frozenset(touched & changed),
    )


def bundle_text(plant: Plant, edition: KnowledgeEdition | None, now: datetime) -> str:
    """An edition, or the installed files, as one text to hand on."""
    contents = knowledge_files.documents() if edition is None else edition.contents
    said = knowledge_files.current().version if edition is None else edition.version_text
    written_on = plant.day_of(now).isoformat()
    return writing.text_of(contents, Heading(written_on, plant.name, said))
