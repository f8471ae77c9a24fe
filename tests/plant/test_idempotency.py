"""`Idempotency-Key`: what is sent again is done once and answered as it was."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from threading import Event, Thread
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from plant.models import ApiAnswer, ApiKey, MeterReading
from plant.services import idempotency, keys, reading_meters
from tests.plant.factories import make_conveyor, make_plant
from tests.plant.meter_rows import LATER

ADDRESS = "/api/v1/conveyors/Q30/meter-readings"
SENT = {"quantity": "running_hours", "read_at": "2026-03-01T02:00:00+02:00", "reading": 1234.5}
PATIENCE_S = 20


@pytest.fixture
def secret() -> str:
    plant = make_plant()
    make_conveyor(plant, tag="Q30")
    make_conveyor(plant, tag="Q31")
    return _key(plant)


def _key(plant: Any) -> str:
    scopes = [ApiKey.Scope.METERS_READ, ApiKey.Scope.METERS_WRITE]
    return keys.make_key(
        name="belt weigher", plant=plant, scopes=scopes, expires_at=None, by=None, now=LATER
    )[1]


def send(secret: str, once: str | None = "one", address: str = ADDRESS, **changed: Any) -> Any:
    headers = {"Authorization": f"Api-Key {secret}"}
    if once is not None:
        headers["Idempotency-Key"] = once
    text = json.dumps({**SENT, **changed})
    client = Client(raise_request_exception=False)
    return client.post(address, text, "application/json", headers=headers)


@pytest.mark.django_db
def test_the_same_post_sent_again_is_answered_as_the_first_time(secret: str):
    first, again, without = send(secret), send(secret), send(secret, None)

    assert (first.status_code, again.status_code) == (201, 201)
    assert again.content == first.content
    assert again.headers["Content-Type"] == "application/json"
    # Without the header it is the same reading a second time, and the answer says so.
    assert without.status_code == 200
    assert MeterReading.objects.count() == 1


@pytest.mark.django_db
def test_order_and_spacing_of_fields_make_no_other_body(secret: str):
    first = send(secret)
    headers = {"Authorization": f"Api-Key {secret}", "Idempotency-Key": "one"}
    text = json.dumps(dict(reversed(SENT.items())), indent=2)

    again = Client().post(ADDRESS, text, "application/json", headers=headers)

    assert (again.status_code, again.content) == (201, first.content)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "other", [{"reading": 1300}, {"address": "/api/v1/conveyors/Q31/meter-readings"}]
)
def test_another_body_or_address_under_the_same_key_is_refused(secret: str, other: Any):
    send(secret)

    refused = send(secret, **other)

    assert (refused.status_code, refused.json()["code"]) == (422, "idempotency_key_reused")
    assert MeterReading.objects.count() == 1


@pytest.mark.django_db
def test_two_keys_of_one_plant_do_not_meet(secret: str):
    send(secret)
    other = _key(ApiKey.objects.get().plant)

    answer = send(other, reading=1300)

    assert (answer.status_code, answer.json()["code"]) == (409, "other_reading_then")


@pytest.mark.django_db
@pytest.mark.parametrize("once", ["", "x" * 256, "caf\xe9", "tab\there"])
def test_a_key_that_is_none_is_refused_by_name(secret: str, once: str):
    refused = send(secret, once)

    assert (refused.status_code, refused.json()["code"]) == (400, "invalid_idempotency_key")
    assert not MeterReading.objects.exists()


@pytest.mark.django_db
def test_a_refusal_is_not_kept_but_judged_anew(secret: str):
    refused = send(secret, read_at="1776-01-01T00:00:00Z")
    assert refused.status_code == 400

    mended = send(secret)

    assert mended.status_code == 201


@pytest.mark.django_db
def test_a_key_without_the_scope_learns_nothing_of_the_answer(secret: str):
    send(secret)
    ApiKey.objects.update(scopes=[ApiKey.Scope.METERS_READ])

    assert send(secret).status_code == 403


@pytest.mark.django_db
def test_after_a_day_the_answer_is_forgotten(secret: str):
    send(secret)
    now = timezone.now()
    assert idempotency.forget_old(now=now + timedelta(hours=23)) == 0
    ApiAnswer.objects.update(made_at=now - timedelta(hours=24))

    # Even before the sweep came by.
    assert send(secret, reading="1234.5").status_code == 200
    assert send(secret, reading="1234.5").status_code == 200
    assert idempotency.forget_old(now=now + timedelta(hours=25)) == 1
    assert not ApiAnswer.objects.exists()


@contextmanager
def _slow(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Event, Event]]:
    """The service says when it is in the midst of it, and waits there until it may go on."""
    begun, may_end, keep = Event(), Event(), reading_meters.keep_reading

    def keep_slowly(**asked: Any) -> Any:
        kept = keep(**asked)
        begun.set()
        assert may_end.wait(PATIENCE_S)
        return kept

    monkeypatch.setattr(reading_meters, "keep_reading", keep_slowly)
    try:
        yield begun, may_end
    finally:
        may_end.set()


@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_one_is_done_and_the_other_told_to_wait(
    secret: str, monkeypatch: pytest.MonkeyPatch
):
    answers: list[Any] = []

    def first() -> None:
        try:
            answers.append(send(secret))
        finally:
            connection.close()

    with _slow(monkeypatch) as (begun, may_end):
        thread = Thread(target=first)
        thread.start()
        assert begun.wait(PATIENCE_S)
        meanwhile = send(secret)
        may_end.set()
        thread.join(PATIENCE_S)

    assert (meanwhile.status_code, meanwhile.json()["code"]) == (409, "request_in_progress")
    assert int(meanwhile.headers["Retry-After"]) > 0
    after = send(secret)
    assert (after.status_code, after.content) == (201, answers[0].content)
    assert MeterReading.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_crash_in_the_midst_leaves_nothing_and_the_next_attempt_works(
    secret: str, monkeypatch: pytest.MonkeyPatch
):
    keep = reading_meters.keep_reading

    def keep_and_fall(**asked: Any) -> Any:
        keep(**asked)
        raise RuntimeError("the machine went down")

    monkeypatch.setattr(reading_meters, "keep_reading", keep_and_fall)
    assert send(secret).status_code == 500
    assert not MeterReading.objects.exists()
    assert not ApiAnswer.objects.exists()
    monkeypatch.setattr(reading_meters, "keep_reading", keep)

    assert send(secret).status_code == 201
    assert MeterReading.objects.count() == 1
