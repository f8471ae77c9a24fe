"""Asking the API as another system does, with one key for one plant."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.test import Client
from django.utils import timezone

from plant.models import ApiKey, Plant
from plant.services import keys


@dataclass(frozen=True)
class System:
    secret: str

    def get(self, address: str, status: int = HTTPStatus.OK, **query: Any) -> Any:
        return self._told(Client().get(address, query, headers=self._headers()), status)

    def post(self, address: str, body: Any, status: int, version: Any = None) -> Any:
        asked = Client().post
        headers = self._headers(version)
        return self._told(asked(address, body, "application/json", headers=headers), status)

    def patch(self, address: str, body: Any, status: int, version: Any = None) -> Any:
        asked = Client().patch
        headers = self._headers(version)
        return self._told(asked(address, body, "application/json", headers=headers), status)

    def delete(self, address: str, status: int, version: Any = None) -> Any:
        return self._told(Client().delete(address, headers=self._headers(version)), status)

    def _headers(self, version: Any = None) -> dict[str, str]:
        headers = {"Authorization": f"Api-Key {self.secret}"}
        return headers if version is None else {**headers, "If-Match": f'"{version}"'}

    def _told(self, response: Any, status: int) -> Any:
        assert response.status_code == status, response.content
        return response.json() if response.content else None


def system_of(plant: Plant, *scopes: str) -> System:
    """A system that may do everything unless scopes are named."""
    made = keys.make_key(
        name="stores system",
        plant=plant,
        scopes=scopes or list(ApiKey.Scope),
        expires_at=None,
        by=None,
        now=timezone.now(),
    )
    return System(made[1])
