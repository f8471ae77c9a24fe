"""Editions of knowledge as tests need them, beside the services that make them."""

import copy
import json
from collections.abc import Callable
from typing import Any

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.models import KnowledgeEdition
from diagnostics.services import knowledge_keeping, knowledge_publishing
from diagnostics.services.knowledge_keeping import Wanted
from plant.models import Plant, User
from tests.diagnostics.factories import NOW

Change = Callable[[dict[str, Any]], object]


def installed() -> dict[str, Any]:
    """A copy of the installed documents that may be changed."""
    return copy.deepcopy(json.loads(json.dumps(knowledge_files.documents())))


def entry(documents: dict[str, Any], kind: str, slug: str) -> dict[str, Any]:
    found = next(one for one in documents[f"{kind}.yaml"][kind] if one["slug"] == slug)
    assert isinstance(found, dict)
    return found


def put_in_force(plant: Plant, change: Change = lambda _documents: None) -> KnowledgeEdition:
    """The installed knowledge with a change, in force at the plant; straight into the table."""
    documents = installed()
    change(documents)
    rows = KnowledgeEdition.objects.filter(plant=plant)
    rows.filter(state=EditionState.IN_FORCE).update(state=EditionState.EARLIER)
    return KnowledgeEdition.objects.create(
        plant=plant,
        number=rows.count() + 1,
        state=EditionState.IN_FORCE,
        contents=documents,
        digest=digest_of(documents),
        base_digest=digest_of(documents),
        drafted_at=NOW,
        published_at=NOW,
    )


def cleaner_rule(**changes: Any) -> dict[str, Any]:
    """A rule of the plant's own."""
    return {
        "slug": "own-cleaner-rule",
        "says": "The belt moves over where the cleaner has just been set.",
        "when": {"remarks": ["cleaner or plough presses on one side"]},
        "speaks": [
            {"cause": "cleaner_presses_unevenly", "ratio": 8},
            {"class": "take_up", "ratio": 0.5},
        ],
        "source": "our own cases of last winter",
        "version": 1,
        **changes,
    }


def begin(plant: Plant, *, by: User | None = None) -> KnowledgeEdition:
    return knowledge_keeping.begin_draft(plant_id=plant.pk, title="winter", by=by, now=NOW)


def change_rule(draft: KnowledgeEdition, slug: str, **changes: Any) -> KnowledgeEdition:
    """A rule of the draft says something else."""
    draft.refresh_from_db()
    stands = entry(draft.contents, "rules", slug)
    wanted = Wanted(Kind.RULE, slug, {**stands, **changes}, mark_of(stands))
    return keep(draft, wanted)


def keep(
    draft: KnowledgeEdition, wanted: Wanted, why: str = "seen twice last winter", **how: Any
) -> KnowledgeEdition:
    given = {"by": None, "now": NOW, **how}
    return knowledge_keeping.keep_entry(draft_id=draft.pk, wanted=wanted, why=why, **given)


def publish(draft: KnowledgeEdition, why: str = "tried on last year's cases") -> KnowledgeEdition:
    draft.refresh_from_db()
    return knowledge_publishing.publish_draft(
        draft_id=draft.pk, version=draft.version, why=why, by=None, now=NOW
    )


def publish_change(plant: Plant, slug: str, **changes: Any) -> KnowledgeEdition:
    return publish(change_rule(begin(plant), slug, **changes))


def typed(draft: KnowledgeEdition, slug: str, **changes: Any) -> dict[str, Any]:
    """The form of a rule as a browser sends it, with what somebody changed."""
    rule = entries_of(draft.contents, Kind.RULE)[slug]
    sent = {"says": rule["says"], "source": rule["source"], "why": "seen twice"}
    sent |= {f"when-{feature}": words for feature, words in rule["when"].items()}
    for one in rule["speaks"]:
        key = f"cause-{one['cause']}" if "cause" in one else f"class-{one['class']}"
        sent |= {f"strength-{key}": "own", f"figure-{key}": one["ratio"]}
    return {**sent, "seen": mark_of(rule), **changes}


def rule_in(edition: KnowledgeEdition, slug: str) -> dict[str, Any]:
    """The rule as the edition has it now."""
    edition.refresh_from_db()
    return entries_of(edition.contents, Kind.RULE)[slug]
