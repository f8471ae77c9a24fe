"""On the page of a draft: knowledge of another plant may be brought in."""

from typing import Any

from django.http import HttpRequest

from diagnostics.models import KnowledgeEdition
from plant import access
from plant.roles import Permission


def on_draft(request: HttpRequest, draft: KnowledgeEdition) -> dict[str, Any] | None:
    if not access.may(request.user, Permission.KEEP_KNOWLEDGE):
        return None
    return {"draft": draft, "plant": draft.plant}
