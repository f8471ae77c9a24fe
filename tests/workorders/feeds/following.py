"""A client of the change feeds, as tests ask."""

from http import HTTPStatus
from typing import Any

from django.test import Client

ORDERS = "/api/v1/work-orders/changes"
COMPLAINTS = "/api/v1/complaints/changes"
CASES = "/api/v1/cases/changes"
REGISTER = "/api/v1/conveyors/changes"


def get(secret: str, address: str = ORDERS, status: int = HTTPStatus.OK, **query: Any) -> Any:
    response = Client().get(address, query, headers={"Authorization": f"Api-Key {secret}"})
    assert response.status_code == status, response.content
    return response.json()


def now(secret: str, address: str = ORDERS) -> str:
    """A cursor to what is to come."""
    return get(secret, address, after="now")["next"]


def told(secret: str, address: str = ORDERS, **query: Any) -> list[dict[str, Any]]:
    return get(secret, address, **query)["results"]


def keys(changes: list[dict[str, Any]]) -> list[tuple[str, str]]:
    return [(one["kind"], one["key"]) for one in changes]
