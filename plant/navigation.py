"""The words along the top and the parts of shared pages, registered by the rooms above.

The base template knows no upper app: each app adds its entries from `AppConfig.ready`.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import Promise

from plant.roles import Role


@dataclass(frozen=True)
class Section:
    """One of the five words along the top; pages below the address of `within` are of it, too."""

    place: int
    words: str | Promise
    url_name: str
    within: str = ""


@dataclass(frozen=True)
class Panel:
    """A part of a page that a lower app owns, rendered by an app that knows more.

    `context` gets the request and the page's row and returns what `template` needs, or None when
    the panel has nothing to say on this page.
    """

    place: int
    template: str
    context: Callable[[HttpRequest, Any], dict[str, Any] | None]


@dataclass(frozen=True)
class Action:
    """What a role does most: a large button on its Today page; `query` is `state=proposed`."""

    place: int
    roles: frozenset[Role]
    words: str | Promise
    url_name: str
    query: str = ""


_sections: dict[str, Section] = {}
_actions: dict[tuple[str, str], Action] = {}
_panels: dict[str, dict[str, Panel]] = {}


def register_section(section: Section) -> None:
    _sections[section.url_name] = section


def sections() -> list[Section]:
    return sorted(_sections.values(), key=lambda section: section.place)


def register_action(action: Action) -> None:
    _actions[action.url_name, action.query] = action


def actions(roles: Collection[Role]) -> list[dict[str, Any]]:
    """The actions of these roles in order, each with its words and address."""
    mine = [one for one in _actions.values() if not one.roles.isdisjoint(roles)]
    return [
        {"words": one.words, "url": f"{reverse(one.url_name)}{'?' * bool(one.query)}{one.query}"}
        for one in sorted(mine, key=lambda action: action.place)
    ]


def register_panel(page: str, panel: Panel) -> None:
    """Add a part to a page: `today`, `conveyor` (row: Conveyor), `component` (row: Component, its
    conveyor and plant at hand), `case` (row: Case) or `order` (row: WorkOrder)."""
    _panels.setdefault(page, {})[panel.template] = panel


def panels(page: str, request: HttpRequest, row: Any = None) -> list[dict[str, Any]]:
    """The parts of a page in order, each with its template and context."""
    found = []
    for panel in sorted(_panels.get(page, {}).values(), key=lambda panel: panel.place):
        context = panel.context(request, row)
        if context is not None:
            found.append({"template": panel.template, "context": context})
    return found
