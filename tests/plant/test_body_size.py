"""Requests larger than anything the site takes are refused before they are read."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from plant.middleware import LARGEST_BODY_BYTES


class Unread:
    """A body that must not be touched."""

    def read(self, _size: int = -1) -> bytes:
        raise AssertionError("the body was read")

    readline = read


@pytest.mark.parametrize("name", ["sign-in", "complaint-new"])
def test_a_body_above_the_limit_is_refused_unread(name):
    address = reverse(name)

    answer = Client().generic(
        "POST",
        address,
        b"x",
        CONTENT_LENGTH=str(LARGEST_BODY_BYTES + 1),
        **{"wsgi.input": Unread()},
    )

    assert answer.status_code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    assert b"100 MB" in answer.content


@pytest.mark.django_db
@pytest.mark.parametrize("length", ["", "many", "-1", "9" * 5])
def test_any_other_length_goes_on_to_the_site(length):
    answer = Client().generic("POST", reverse("complaint-new"), b"x", CONTENT_LENGTH=length)

    assert answer.status_code != HTTPStatus.REQUEST_ENTITY_TOO_LARGE
