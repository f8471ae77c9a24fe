import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client


def test_living_process_says_so_without_a_database(client: Client):
    answer = client.get("/healthz")

    assert (answer.status_code, answer.content) == (200, b"ok\n")


@pytest.mark.django_db
def test_site_with_all_its_tables_is_ready(client: Client):
    answer = client.get("/readyz")

    assert (answer.status_code, answer.content) == (200, b"ready\n")


@pytest.mark.django_db
def test_site_with_a_missing_migration_is_not_ready(client: Client):
    applied = MigrationRecorder.Migration.objects.filter(app="plant")
    applied.order_by("-name")[0].delete()

    answer = client.get("/readyz")

    assert answer.status_code == 503
    assert b"run manage.py migrate" in answer.content


@pytest.mark.django_db
def test_site_without_its_database_is_not_ready_and_tells_strangers_no_details(
    client: Client, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
):
    def refuse(*_args: object, **_options: object) -> None:
        raise OperationalError("no route to db.inside.example")

    monkeypatch.setattr(connection, "cursor", refuse)

    answer = client.get("/readyz")

    assert (answer.status_code, answer.content) == (503, b"The database does not answer.\n")
    assert "no route to db.inside.example" in caplog.text


@pytest.mark.parametrize("path", ["/healthz", "/readyz"])
def test_health_is_only_asked_for(client: Client, path: str):
    assert client.post(path).status_code == 405


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/healthz", "/readyz"])
def test_answers_are_never_kept_by_a_proxy(client: Client, path: str):
    assert "no-store" in client.get(path)["Cache-Control"]


def test_probe_reaches_the_process_without_tls(client: Client, settings: object):
    settings.SECURE_SSL_REDIRECT = True

    assert client.get("/healthz").status_code == 200
