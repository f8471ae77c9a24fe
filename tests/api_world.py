"""How each endpoint of the API gets to the rows of one world, and what is said to it there."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from rest_framework.generics import GenericAPIView

from tests.world import World

Body = Callable[[World], Any]
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
_THEN = "2026-11-02T05:00:00Z"

# What the parameters of an address are, by the beginning of its name; the longest that fits.
_PARAMETERS: dict[str, Callable[[World], dict[str, Any]]] = {
    "api-work-order": lambda world: {"number": world.rows["order"]},
    "api-work-order-time": lambda world: {
        "number": world.rows["order-in-hand"],
        "id": world.rows["order-in-hand-time"],
    },
    "api-work-order-parts": lambda world: {"number": world.rows["order-in-hand"]},
    "api-case": lambda world: {"number": world.values["number"]},
    "api-finding": lambda world: {"number": world.values["number"], "id": world.rows["finding"]},
    "api-complaint": lambda world: {"id": world.rows["complaint"]},
    "api-": lambda world: {"tag": world.values["tag"]},
    "api-component": lambda world: _of_belt(world, id=world.rows["component"]),
    "api-belt": lambda world: _of_belt(world, id=world.values["belt"]),
    "api-attachment": lambda world: _of_belt(world, id=world.rows["attachment"]),
    "api-meter-reading": lambda world: _of_belt(world, id=world.rows["meter-reading"]),
    "api-condition-reading": lambda world: _of_belt(world, id=world.rows["condition"]),
}
# A body that would be taken, for each method that takes one.
_BODIES: dict[tuple[str, str], Body] = {
    ("api-complaints", "POST"): lambda world: {
        "conveyor": world.values["tag"],
        "words": "the quay belt is rubbing its frame again",
        "join_case": world.values["number"],
    },
    ("api-complaint", "PATCH"): lambda world: {"case": world.values["number"]},
    ("api-findings", "POST"): lambda _world: {
        "cause": "return_idler_skewed",
        "is_present": False,
        "place": "R5",
    },
    ("api-finding", "PATCH"): lambda _world: {"withdrawn": True},
    ("api-case-moves", "POST"): lambda _world: {"to_state": "cancelled", "why": "a joke"},
    ("api-complaints-bulk", "POST"): lambda world: {
        "items": [
            {
                "conveyor": world.values["tag"],
                "words": "it spills at the head",
                "new_problem": True,
            }
        ]
    },
    ("api-findings-bulk", "POST"): lambda world: {
        "items": [
            {"case": world.values["number"], "cause": "belt_camber", "is_present": False},
        ]
    },
    ("api-meter-readings-bulk", "POST"): lambda world: {
        "items": [
            {
                "conveyor": world.values["tag"],
                "quantity": "tonnes",
                "read_at": _THEN,
                "reading": 18_450,
            }
        ]
    },
    ("api-condition-readings-bulk", "POST"): lambda world: {
        "items": [
            {
                "conveyor": world.values["tag"],
                "quantity": "carry_cover_thickness",
                "value": 6.1,
                "taken_at": _THEN,
            }
        ]
    },
    ("api-meter-readings", "POST"): lambda _world: {
        "quantity": "running_hours",
        "read_at": _THEN,
        "reading": 184.5,
    },
    ("api-condition-readings", "POST"): lambda _world: {
        "quantity": "lagging_thickness",
        "value": 9.4,
        "component": "Head pulley",
        "taken_at": _THEN,
    },
    ("api-condition-reading", "PATCH"): lambda _world: {"value": 9.1},
    ("api-work-orders", "POST"): lambda world: {
        "conveyor": world.values["tag"],
        "title": "Renew the skirt rubber",
    },
    ("api-work-orders-bulk", "POST"): lambda world: {
        "items": [{"number": world.rows["order"], "version": 1, "external_number": "70-1"}]
    },
    ("api-work-order", "PATCH"): lambda _world: {"external_number": "70-1"},
    ("api-work-order-moves", "POST"): lambda _world: {"to_state": "approved"},
    ("api-work-order-notes", "POST"): lambda _world: {"words": "Two shims used at R86."},
    ("api-work-order-parts", "POST"): lambda _world: {"part": "R-159", "used": 1},
    ("api-work-order-time", "POST"): lambda _world: {
        "worker": "Jo Tarr",
        "day": f"{timezone.now() - timedelta(days=1):%Y-%m-%d}",
        "hours": 1.5,
    },
    ("api-work-order-time-one", "PATCH"): lambda _world: {"withdrawn": True},
}


@dataclass(frozen=True)
class Endpoint:
    """One method of one address."""

    method: str
    pattern: URLPattern

    @property
    def name(self) -> str:
        assert self.pattern.name, f"{self.pattern} of the API has no name."
        return self.pattern.name

    @property
    def view(self) -> type[GenericAPIView]:
        view: type[GenericAPIView] = self.pattern.callback.cls
        return view

    @property
    def parameters(self) -> list[str]:
        return list(self.pattern.pattern.regex.groupindex or self.pattern.pattern.converters)

    @property
    def scope(self) -> str:
        return str(self.view.scopes[self.method])

    def __str__(self) -> str:
        return f"{self.method} {self.name}"

    @property
    def described_path(self) -> str:
        """The address as the description of the API writes it."""
        of = {one: f"{{{one}}}" for one in self.parameters}
        form, _names = get_resolver().reverse_dict[self.name][0][0]
        return "/" + form % of

    def parameters_in(self, world: World) -> dict[str, Any]:
        known = _parameters_of(self.name)(world)
        missing = [one for one in self.parameters if one not in known]
        assert not missing, f"{self.name}: tell _PARAMETERS in {__file__} about {missing}."
        return {one: known[one] for one in self.parameters}

    def address(self, world: World) -> str:
        return reverse(self.name, kwargs=self.parameters_in(world))

    def body(self, world: World) -> Any:
        if self.method in {"GET", "DELETE"}:
            return None
        told = _BODIES.get((self.name, self.method))
        assert told, f"{self}: tell _BODIES in {__file__} a body that names rows of the world."
        return told(world)

    def ask(self, world: World, secret: str, **query: str) -> Any:
        """What the world's rows are asked or told with this key."""
        headers = {"If-Match": "*"} if self.method in {"PUT", "PATCH", "POST", "DELETE"} else {}
        if secret:
            headers["Authorization"] = f"Api-Key {secret}"
        asked = getattr(Client(), self.method.lower())
        if self.method == "GET":
            return asked(self.address(world), query, headers=headers)
        return asked(
            self.address(world), self.body(world), content_type="application/json", headers=headers
        )


def every_endpoint() -> list[Endpoint]:
    """Found by walking the patterns: a new one cannot be forgotten."""
    return [
        Endpoint(method, pattern)
        for pattern in api_patterns()
        if getattr(pattern.callback, "cls", None)
        for method in METHODS
        if hasattr(pattern.callback.cls, method.lower())
    ]


def api_patterns() -> list[URLPattern]:
    found: list[URLPattern] = []

    def walk(patterns: list[URLPattern | URLResolver]) -> None:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                walk(pattern.url_patterns)
            else:
                found.append(pattern)

    for entry in get_resolver().url_patterns:
        if isinstance(entry, URLResolver) and str(entry.pattern) == "api/v1/":
            walk(entry.url_patterns)
    return found


def _parameters_of(name: str) -> Callable[[World], dict[str, Any]]:
    return _PARAMETERS[max((one for one in _PARAMETERS if name.startswith(one)), key=len)]


def _of_belt(world: World, **row: Any) -> dict[str, Any]:
    return {"tag": world.values["tag"], **row}
