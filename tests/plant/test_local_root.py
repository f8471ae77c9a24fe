"""The root certificate of a site that does TLS by itself, offered to phones."""

from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

ADDRESS = "/local-root.crt"


def test_the_root_is_handed_to_strangers_as_a_certificate(settings: object, tmp_path: Path):
    root = tmp_path / "root.crt"
    root.write_bytes(b"-----BEGIN CERTIFICATE-----")
    settings.LOCAL_ROOT_CERTIFICATE = str(root)

    response = Client().get(ADDRESS)

    assert response.status_code == 200
    assert response["Content-Type"] == "application/x-x509-ca-cert"
    assert response.content == b"-----BEGIN CERTIFICATE-----"


@pytest.mark.django_db
@pytest.mark.parametrize("named", ["", "/no/such/folder/root.crt"])
def test_there_is_none_on_any_other_site(settings: object, named: str):
    settings.LOCAL_ROOT_CERTIFICATE = named

    assert Client().get(ADDRESS).status_code == 404


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_it_is_only_read(method: str):
    assert getattr(Client(), method)(reverse("local-root")).status_code == 405
