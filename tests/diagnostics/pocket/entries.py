"""Entries as a phone makes them, and a phone that sends them."""

import json
import uuid
from collections.abc import Mapping
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from diagnostics.models import Case
from plant.models import User
from plant.roles import Role
from tests.diagnostics.factories import make_case, make_person
from tests.plant.factories import signed_in

HOW = {"facing": "head", "load": "loaded", "is_running_backwards": False}


def entry(kind: str, body: Mapping[str, Any], *, age_s: float = 60, **own: Any) -> dict[str, Any]:
    return {"id": str(uuid.uuid4()), "kind": kind, "age_s": age_s, "body": dict(body), **own}


def begin(**how: Any) -> dict[str, Any]:
    age_s = how.pop("age_s", 600)
    return entry("begin", {**HOW, "cautions_read": True, **how}, age_s=age_s)


def look(walk: Mapping[str, Any], station: str = "R5", **seen: Any) -> dict[str, Any]:
    """Half over to the right at R5, loaded, unless said otherwise."""
    age_s = seen.pop("age_s", 60)
    given = {
        "walk": walk["id"],
        "station": station,
        "run": "return",
        "position_m": 76.0,
        "load": "loaded",
        "degree": "half",
        "side": "right",
        "persistence": "steady",
        **seen,
    }
    return entry("look", given, age_s=age_s)


class Phone:
    """Signed in as one technician of the case's plant."""

    def __init__(self, case: Case | None = None, person: User | None = None) -> None:
        self.case = case or make_case()
        self.person = person or make_person(Role.TECHNICIAN, self.case.conveyor.plant)
        self.client: Client = signed_in(self.person)

    def ask(self, what: str) -> Any:
        return self.client.get(reverse(f"pocket-{what}", args=[self.case.number]))

    def send(self, *entries: Any, person: str | None = None) -> list[dict[str, Any]]:
        answer = self.post({"entries": list(entries), "person": person or str(self.person.pk)})
        assert answer.status_code == 200, answer.content
        results: list[dict[str, Any]] = answer.json()["results"]
        return results

    def post(self, body: Any) -> Any:
        address = reverse("pocket-entries", args=[self.case.number])
        content = body if isinstance(body, bytes) else json.dumps(body)
        return self.client.post(address, content, content_type="application/json")

    def send_photo(self, told: Mapping[str, Any], content: bytes) -> dict[str, Any]:
        address = reverse("pocket-entries", args=[self.case.number])
        parts = {
            "person": str(self.person.pk),
            "entry": json.dumps(told),
            "photo": SimpleUploadedFile("photo.jpg", content, "image/jpeg"),
        }
        answer = self.client.post(address, parts)
        assert answer.status_code == 200, answer.content
        result: dict[str, Any] = answer.json()["results"][0]
        return result


def outcomes(results: list[dict[str, Any]]) -> list[str]:
    return [one["outcome"] for one in results]
