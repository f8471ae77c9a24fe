"""The part of a draft's page from which it is tried, and what came of it last."""

from typing import Any

from django.http import HttpRequest

from diagnostics import trial_pages
from diagnostics.models import KnowledgeEdition
from diagnostics.selectors import trials
from plant import access
from plant.roles import Permission


def on_draft(request: HttpRequest, draft: KnowledgeEdition) -> dict[str, Any] | None:
    """Nothing for who may not keep knowledge."""
    if not access.may(request.user, Permission.KEEP_KNOWLEDGE):
        return None
    return {
        "draft": draft,
        "confirmed": trials.confirmed_count(draft.plant_id),
        **last_outcome(draft),
    }


def last_outcome(draft: KnowledgeEdition) -> dict[str, Any]:
    """What the newest trial of a draft came to, for the page that publishes it, too."""
    newest = trials.newest_of(draft)
    found: dict[str, Any] = {"owed_trial": newest.owed, "trial": newest.tried}
    if newest.tried is not None:
        found |= {
            "outcome": trial_pages.outcome_of(newest.tried),
            "has_draft_changed": trials.has_draft_changed(newest.tried),
            "has_base_changed": trials.has_base_changed(newest.tried),
        }
    return found
