"""What no honest system would send, to every method of every endpoint: refused, never a fault."""

import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
from django.db import transaction
from django.test import Client
from django.urls import NoReverseMatch, reverse

from tests.api_world import Endpoint, every_endpoint
from tests.workorders.factories import make_key
from tests.world import World, make_world

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
ENDPOINTS = every_endpoint()
WRITES = [one for one in ENDPOINTS if one.method in {"POST", "PATCH", "PUT"}]
PROBLEM = "application/problem+json"

_DEEP = 40_000
BODIES = {
    "nothing": b"",
    "half": b"{",
    "list": b"[]",
    "null": b"null",
    "text": b'"Q30"',
    "number": b"1e400",
    "no text": b"\xff\xfe\x00",
    "half a character": rb'{"words": "\ud800", "note": "\udfff"}',
    "nul": rb'{"words": "a\u0000b"}',
    "key that is nul": rb'{"\u0000": 1, "items": [{"\u0000": 1}]}',
    "deep lists": b"[" * _DEEP + b"]" * _DEEP,
    "deep rows": b'{"items":' * _DEEP + b"1" + b"}" * _DEEP,
    "deep item": b'{"items": [' + b'{"conveyor":' * 500 + b"1" + b"}" * 500 + b"]}",
    "huge": b'{"words": "' + b"x" * 300_000 + b'"}',
}
# Instead of each field of a body that would be taken, as JSON.
VALUES = [
    "null",
    "true",
    "-1",
    "1e400",
    "-1e400",
    "NaN",
    "1" + "0" * 400,
    "[]",
    "[[]]",
    "{}",
    '{"tag": {}}',
    '""',
    '" "',
    r'"\u0000"',
    r'"\ud800"',
    r'"\u202e"',
    '"' + "x" * 5000 + '"',
    '"0000-00-00T00:00:00Z"',
    '"9999-12-31T23:59:59-14:00"',
    '"0001-01-01T00:00:00+14:00"',
]
ADDRESSES = ["\x00", "\n", "..", "%2e", "é", "1" * 400, "9" * 19, "-1", "' OR 1=1 --"]
QUERIES = ["", "\x00", "9" * 30, "-1", "1e400", "x" * 3000, "\u202e", "null", "0001-01-01T00:00+14"]
HEADERS = [
    {"If-Match": "3"},
    {"If-Match": '"999999999999999999"'},
    {"If-Match": 'W/"1"'},
    {"If-Match": '"' + "," * 3000},
    {"Idempotency-Key": " "},
    {"Idempotency-Key": "é"},
    {"Idempotency-Key": "x" * 300},
    {"If-None-Match": '"' * 99},
    {"Accept": "text/html"},
    {"Accept": "application/json;version=99"},
    {"Accept-Encoding": "gzip;q=x, *;q=0"},
    {"Authorization": "Api-Key"},
    {"Authorization": "Api-Key \x7f.é"},
]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[World]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture
def headers(world: World) -> dict[str, str]:
    secret = make_key(world.plant, requests_per_minute=0)[1]
    return {"Authorization": f"Api-Key {secret}", "If-Match": "*"}


def send(endpoint: Endpoint, address: str, body: bytes, headers: dict[str, str]) -> Any:
    kind = headers.get("Content-Type", "application/json")
    return Client().generic(endpoint.method, address, body, kind, headers=headers)


def check(response: Any) -> None:
    """A fault would rise here instead of being answered."""
    assert response.status_code < 500
    if response.status_code >= 400:
        assert response["Content-Type"] == PROBLEM
        assert json.loads(response.content)["code"]


@pytest.mark.parametrize("endpoint", WRITES, ids=str)
def test_no_body_breaks_an_endpoint(
    endpoint: Endpoint, world: World, headers: dict[str, str]
) -> None:
    for name, body in BODIES.items():
        response = send(endpoint, endpoint.address(world), body, headers)

        check(response)
        # Of several items each is answered for itself.
        answers = response.json().get("results", [{"status": response.status_code}])
        assert all(one["status"] >= 400 for one in answers), name


@pytest.mark.parametrize("endpoint", WRITES, ids=str)
def test_no_value_of_a_field_breaks_an_endpoint(
    endpoint: Endpoint, world: World, headers: dict[str, str]
) -> None:
    for body in spoiled(endpoint.body(world)):
        with transaction.atomic():
            check(send(endpoint, endpoint.address(world), body.encode(), headers))
            transaction.set_rollback(True)


def spoiled(good: dict[str, Any]) -> Iterator[str]:
    """The body with one of its fields spoiled; of several items, one of the first's."""
    for name in good:
        for value in VALUES:
            told = {one: json.dumps(said) for one, said in good.items()} | {name: value}
            yield "{" + ", ".join(f"{json.dumps(one)}: {said}" for one, said in told.items()) + "}"
    items = good.get("items")
    if isinstance(items, list) and items:
        yield from (f'{{"items": [{one}]}}' for one in spoiled(items[0]))


@pytest.mark.parametrize("endpoint", ENDPOINTS, ids=str)
def test_no_address_breaks_an_endpoint(
    endpoint: Endpoint, world: World, headers: dict[str, str]
) -> None:
    for name in endpoint.parameters:
        for text in ADDRESSES:
            kwargs = {**endpoint.parameters_in(world), name: text}
            try:
                address = reverse(endpoint.name, kwargs=kwargs)
            except NoReverseMatch:
                good = str(endpoint.parameters_in(world)[name])
                address = endpoint.address(world).replace(f"/{good}", f"/{quote(text, safe='')}", 1)
            check(send(endpoint, address, b"{}", headers))


@pytest.mark.parametrize("endpoint", [one for one in ENDPOINTS if one.method == "GET"], ids=str)
def test_no_question_breaks_an_endpoint(
    endpoint: Endpoint, world: World, headers: dict[str, str]
) -> None:
    view = endpoint.view()
    for name in sorted(view.known_names("GET") | {"limit", "cursor", "nothing"}):
        for text in QUERIES:
            check(Client().get(endpoint.address(world), {name: text}, headers=headers))


@pytest.mark.parametrize("endpoint", ENDPOINTS, ids=str)
def test_no_header_breaks_an_endpoint(
    endpoint: Endpoint, world: World, headers: dict[str, str]
) -> None:
    body = json.dumps(endpoint.body(world)).encode()
    for more in [*HEADERS, {"Content-Type": "text/plain"}, {"Content-Type": "a;b=\xff"}]:
        with transaction.atomic():
            response = send(endpoint, endpoint.address(world), body, {**headers, **more})
            transaction.set_rollback(True)

        assert response.status_code < 500, more
