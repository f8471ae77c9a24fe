"""Nobody comes in without signing in, anywhere; the few open doors are named."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.addresses import Address, every_address

pytestmark = pytest.mark.django_db

# Health checks and figures (which ask for a token), the door itself, the description of the API,
# the root certificate of a demo that does TLS, the walk-down app, whose page and files hold nothing
# of anybody, and the calendars of crews, whose addresses are the secret.
OPEN = {
    "crew-feed",
    "service-worker",
    "app-manifest",
    "walk-app",
    "walk-app-case",
    "local-root",
    "healthz",
    "readyz",
    "metrics",
    "sign-in",
    "sign-out",
    "password-forgotten",
    "password-forgotten-sent",
    "password-new",
    "api-openapi",
}
_WITH_PARAMETERS = {"password-new", "walk-app-case", "crew-feed"}
_METHODS = ("get", "post", "put", "patch", "delete", "head", "options")


def closed() -> list[Address]:
    return [address for address in every_address() if address.name not in OPEN]


def test_the_walk_finds_the_pages_and_the_interface():
    names = {address.name for address in every_address()}

    assert names > OPEN | {"today", "conveyors", "work", "trends", "knowledge", "api-work-orders"}


def test_every_name_is_given_once():
    names = [address.name for address in every_address() if address.name]

    assert len(names) == len(set(names))


@pytest.mark.parametrize("address", closed(), ids=str)
def test_a_stranger_comes_in_nowhere(address: Address):
    # The API asks for its key itself.
    assert address.sample.startswith("/api/") or not address.is_open
    for method in _METHODS:
        response = getattr(Client(), method)(address.sample)

        if address.sample.startswith("/api/"):
            assert response.status_code in {401, 403, 404, 405}, (method, response.content)
            # An address that is no resource says so; a resource first asks for the key.
            assert response.status_code != 404 or address.name is None, method
            continue
        assert response.status_code == 302, (method, response.content)
        assert response["Location"].startswith(reverse("sign-in")), method


@pytest.mark.parametrize("name", sorted(OPEN - _WITH_PARAMETERS - {"local-root", "metrics"}))
def test_open_doors_answer_strangers(name: str):
    assert Client().get(reverse(name)).status_code in {200, 405, 503}
