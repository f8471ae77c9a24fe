"""Bundles of knowledge sent to a plant: kept once they are sound, then taken into a draft."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.bundles import checking, merging, reading
from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.models import KnowledgeBundle, KnowledgeEdition
from diagnostics.selectors import bundles as selector
from diagnostics.selectors import shelf
from diagnostics.services import knowledge_keeping
from diagnostics.services.knowledge_keeping import DraftHasChanged, Wanted
from plant.errors import DomainError
from plant.models import Plant, User

# The latest are kept, so that somebody may look where a rule came from.
KEPT_A_PLANT = 20


class NothingToTakeIn(DomainError):
    code = "nothing_to_take_in"


@transaction.atomic
def take_bundle(
    *, plant: Plant, name: str, content: bytes, by: User | None, now: datetime
) -> KnowledgeBundle:
    """Read and check what was sent and keep it beside the knowledge, which stays as it is.

    Refuses with BundleRefused, which names document, entry, field and line.
    """
    bundle = checking.checked(reading.read(content), shelf.documents_of(plant.pk))
    made = KnowledgeBundle.objects.create(
        plant=plant,
        sent_by=by,
        sent_at=now,
        file_name="".join(one for one in name if one.isprintable())[-200:],
        written_on=bundle.heading.written_on,
        from_plant=bundle.heading.plant,
        from_edition=bundle.heading.edition,
        contents={kind.key: rows for kind, rows in bundle.entries.items()},
    )
    rows = KnowledgeBundle.objects.filter(plant=plant)
    kept = rows.order_by("-sent_at", "-pk").values_list("pk", flat=True)[:KEPT_A_PLANT]
    rows.exclude(pk__in=list(kept)).delete()
    return made


@transaction.atomic
def take_into_draft(
    *,
    bundle_id: int,
    kinds: Collection[Kind],
    is_dropping: bool,
    seen: str,
    why: str,
    by: User | None,
    now: datetime,
) -> KnowledgeEdition:
    """Put what a bundle says otherwise into the plant's draft, all or none; begins one if needed.

    `seen` is the digest of what it was compared with. Refuses with DraftHasChanged when that is
    not what stands, with NothingToTakeIn, and as `keep_entries`.
    """
    plant_id = KnowledgeBundle.objects.values_list("plant_id", flat=True).get(pk=bundle_id)
    knowledge_keeping.lock_plant(plant_id)
    bundle = KnowledgeBundle.objects.get(pk=bundle_id)
    draft, ours = selector.put_upon(plant_id)
    if digest_of(ours) != seen:
        raise DraftHasChanged(
            _("What the bundle was compared with has changed meanwhile. Look at it again.")
        )
    chosen = merging.only(bundle.contents, kinds)
    changes = merging.differences(ours, chosen, is_dropping=is_dropping)
    if not changes:
        raise NothingToTakeIn(_("Nothing of what you chose differs from what is here."))
    if draft is None:
        draft = knowledge_keeping.begin_draft(
            plant_id=plant_id, title=_title(bundle), by=by, now=now
        )
    wanted = [Wanted(one.kind, one.slug, one.after, mark_of(one.before)) for one in changes]
    kept = knowledge_keeping.keep_entries(draft_id=draft.pk, wanted=wanted, why=why, by=by, now=now)
    bundle.taken_into, bundle.taken_at, bundle.taken_by = kept, now, by
    bundle.save(update_fields=["taken_into", "taken_at", "taken_by"])
    return kept


def _title(bundle: KnowledgeBundle) -> str:
    return _("From a bundle of %(whose)s") % {"whose": bundle.from_plant or bundle.file_name}
