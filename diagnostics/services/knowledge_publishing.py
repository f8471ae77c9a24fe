"""An edition comes in force: a draft is published, or an earlier one is brought back.

Every open case of the plant owes a new diagnosis then; phones notice by the version of their kits.
"""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Documents, Kind, compare, entries_of
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.models import KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import shelf
from diagnostics.services import diagnosing, knowledge_keeping
from diagnostics.services.knowledge_keeping import LONGEST_WHY, ReasonOfChangeMissing
from plant.errors import DomainError
from plant.models import User


class DraftIsStale(DomainError):
    code = "draft_is_stale"


class NothingChanged(DomainError):
    code = "nothing_changed"


class NotToGoBackTo(DomainError):
    code = "not_to_go_back_to"


class AnotherCameInForce(DomainError):
    code = "another_came_in_force"


class ChoiceMissing(DomainError):
    code = "choice_missing"


@transaction.atomic
def publish_draft(
    *, draft_id: int, version: int, why: str, by: User | None, now: datetime
) -> KnowledgeEdition:
    """Put a draft in force in place of what was, as it was looked at.

    Refuses with NoDraft, DraftHasChanged, ReasonOfChangeMissing, NothingChanged, and DraftIsStale
    when something else came in force since it was begun: carry it over first.
    """
    _check_reason(why)
    draft = knowledge_keeping.lock_draft(draft_id)
    knowledge_keeping.check_version(draft, version)
    if shelf.is_stale(draft):
        raise DraftIsStale(
            _("Something else came in force since this draft was begun. Carry it over first.")
        )
    if not draft.changes.exists():
        raise NothingChanged(_("The draft says what is in force already; change something first."))
    knowledge_keeping.check_whole(draft.contents)
    return _put_in_force(draft, why=why, by=by, now=now)


@transaction.atomic
def roll_back(
    *, plant_id: int, to_id: int | None, from_id: int, why: str, by: User | None, now: datetime
) -> KnowledgeEdition:
    """Publish what an earlier edition said, or the installed files say (None), as a new one.

    `from_id` is the edition somebody saw in force. Refuses with ReasonOfChangeMissing,
    AnotherCameInForce, NotToGoBackTo and NothingChanged. A draft stays, and is stale.
    """
    _check_reason(why)
    knowledge_keeping.lock_plant(plant_id)
    standing = shelf.edition_in_force(plant_id)
    if standing is None or standing.pk != from_id:
        raise AnotherCameInForce(_("Another edition came in force meanwhile. Look again."))
    documents = _documents_to_go_back_to(plant_id, to_id)
    changes = compare(standing.contents, documents)
    if not changes:
        raise NothingChanged(_("It says just what is in force."))
    knowledge_keeping.check_whole(documents)
    made = KnowledgeEdition(
        plant_id=plant_id,
        number=knowledge_keeping.next_number(plant_id),
        contents=documents,
        digest=digest_of(documents),
        title=_back_to(to_id),
        based_on=standing,
        base_digest=standing.digest,
        drafted_by=by,
        drafted_at=now,
    )
    _put_in_force(made, why=why, by=by, now=now)
    KnowledgeChange.objects.bulk_create(
        KnowledgeChange(
            edition=made,
            kind=one.kind.value,
            slug=one.slug,
            before=one.before,
            after=one.after,
            changed_at=now,
            changed_by=by,
            why=why.strip()[:LONGEST_WHY],
        )
        for one in changes
    )
    return made


@transaction.atomic
def carry_over(
    *, draft_id: int, version: int, keep_mine: Mapping[tuple[str, str], bool]
) -> KnowledgeEdition:
    """Put the changes of a stale draft on what is in force today.

    `keep_mine` says, for each entry that both have changed, whose words stay. Refuses with
    NoDraft, DraftHasChanged, ChoiceMissing, and EntryRefused when the two do not go together.
    """
    draft = knowledge_keeping.lock_draft(draft_id)
    knowledge_keeping.check_version(draft, version)
    today = shelf.documents_of(draft.plant_id)
    rows = list(draft.changes.all())
    given = knowledge_keeping.versions_given(draft, [one.slug for one in rows])
    for change in rows:
        key = (change.kind, change.slug)
        stands = entries_of(today, Kind(change.kind)).get(change.slug)
        clashes = shelf.clashes(change, stands)
        if clashes and key not in keep_mine:
            raise ChoiceMissing(_("Choose for each of them which words stay."))
        if mark_of(stands) == mark_of(change.after) or (clashes and not keep_mine[key]):
            change.delete()
            continue
        change.before = stands
        change.after = knowledge_keeping.numbered(given, change.kind, change.after, stands)
        change.save(update_fields=["before", "after"])
    draft.based_on_id = shelf.in_force(draft.plant_id).edition_id
    draft.base_digest = digest_of(today)
    draft.save(update_fields=["based_on", "base_digest"])
    draft.contents = knowledge_keeping.with_changes(today, draft.changes.all())
    return knowledge_keeping.save_draft(draft)


def _check_reason(why: str) -> None:
    if not why.strip():
        raise ReasonOfChangeMissing(_("Say why; whoever reads it later asks that."))


def _documents_to_go_back_to(plant_id: int, to_id: int | None) -> Documents:
    if to_id is None:
        return knowledge_files.documents()
    row = KnowledgeEdition.objects.filter(
        pk=to_id, plant_id=plant_id, state=EditionState.EARLIER.value
    ).first()
    if row is None:
        raise NotToGoBackTo(_("Only an edition that was in force can be brought back."))
    contents: Documents = row.contents
    return contents


def _back_to(to_id: int | None) -> str:
    if to_id is None:
        return _("Back to the knowledge as installed")
    number = KnowledgeEdition.objects.values_list("number", flat=True).get(pk=to_id)
    return _("Back to edition %(number)d") % {"number": number}


def _put_in_force(
    edition: KnowledgeEdition, *, why: str, by: User | None, now: datetime
) -> KnowledgeEdition:
    rows = KnowledgeEdition.objects.filter(plant_id=edition.plant_id)
    # First the one that goes: at no instant may a plant have two in force.
    rows.filter(state=EditionState.IN_FORCE.value).update(
        state=EditionState.EARLIER.value, ended_at=now
    )
    edition.state = EditionState.IN_FORCE.value
    edition.published_by, edition.published_at = by, now
    edition.published_why = why.strip()[:LONGEST_WHY]
    edition.save()
    diagnosing.owe_diagnoses_at(edition.plant_id, now=now)
    return edition
