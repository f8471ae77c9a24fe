"""Editions of knowledge as tests need them, beside the services that make them."""

import copy
import json
from collections.abc import Callable
from typing import Any

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_digest import digest_of
from diagnostics.models import KnowledgeEdition
from plant.models import Plant
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
