"""What every sheet shows around its content."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from plant import access, navigation
from plant.roles import Permission


def sheet(request: HttpRequest) -> dict[str, Any]:
    now = timezone.now()
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"drawn_at": now, "drawn_in": None}
    plants = list(access.plants_of(user))
    return {
        "sections": [_entry(section, request.path) for section in navigation.sections()],
        "my_plants": plants,
        "may_administer": access.may(user, Permission.ADMINISTER),
        "drawn_at": now,
        # The sheet is dated by the day of the first plant.
        "drawn_in": plants[0] if plants else None,
    }


def _entry(section: navigation.Section, path: str) -> dict[str, Any]:
    url = reverse(section.url_name)
    below = reverse(section.within or section.url_name)
    is_here = path == url if below == "/" else path.startswith(below)
    return {"words": section.words, "url": url, "is_here": is_here}
