"""What every sheet shows around its content."""

from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from plant import access, navigation
from plant.roles import Permission


def sheet(request: HttpRequest) -> dict[str, Any]:
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {}
    return {
        "sections": [_entry(section, request.path) for section in _reachable()],
        "my_plants": list(access.plants_of(user)),
        "may_administer": access.may(user, Permission.ADMINISTER),
    }


def _reachable() -> list[tuple[navigation.Section, str]]:
    found = []
    for section in navigation.sections():
        try:
            found.append((section, reverse(section.url_name)))
        except NoReverseMatch:
            continue
    return found


def _entry(reached: tuple[navigation.Section, str], path: str) -> dict[str, Any]:
    section, url = reached
    is_here = path == url if url == "/" else path.startswith(url)
    return {"words": section.words, "url": url, "is_here": is_here}
