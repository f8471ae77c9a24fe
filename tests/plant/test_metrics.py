"""/metrics: for whoever has the token, in a form that its readers take, true over all processes."""

from collections.abc import Iterator
from datetime import timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.core.exceptions import MiddlewareNotUsed
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone
from prometheus_client.parser import text_string_to_metric_families

from plant import owed, site_figures
from plant.models import PasswordLink, RequestCount, SweepCount
from plant.request_counting import CountsRequests
from plant.services import request_counts, sweep_counts
from plant.services.request_counts import Counts
from tests.plant import factories
from tests.plant.webhooks import rows as hook_rows

TOKEN = "a-token-of-the-tests-0123456789"


@pytest.fixture(autouse=True)
def token(settings: Any) -> None:
    settings.METRICS_TOKEN = TOKEN


def ask(token: str = TOKEN, word: str = "Bearer") -> Any:
    return Client().get("/metrics", headers={"Authorization": f"{word} {token}"})


def told() -> dict[tuple[str, tuple[tuple[str, str], ...]], float]:
    answer = ask()
    assert answer.status_code == HTTPStatus.OK
    families = text_string_to_metric_families(answer.content.decode())
    return {
        (sample.name, tuple(sorted(sample.labels.items()))): sample.value
        for family in families
        for sample in family.samples
    }


def figure(name: str, **of: str) -> float:
    return told()[f"loopwright_{name}", tuple(sorted(of.items()))]


@pytest.mark.django_db
def test_without_a_token_of_the_site_there_is_no_such_page(settings: Any):
    settings.METRICS_TOKEN = ""

    assert ask("").status_code == HTTPStatus.NOT_FOUND
    assert ask().status_code == HTTPStatus.NOT_FOUND


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("sent", "word"), [("", "Bearer"), ("wrong", "Bearer"), (TOKEN, "Basic"), ("é", "Bearer")]
)
def test_whoever_does_not_send_the_token_is_told_nothing(sent: str, word: str):
    answer = ask(sent, word)

    assert answer.status_code == HTTPStatus.UNAUTHORIZED
    assert answer["WWW-Authenticate"].startswith("Bearer")
    assert b"loopwright_" not in answer.content


@pytest.mark.django_db
def test_the_answer_is_text_that_nobody_keeps():
    answer = ask()

    assert answer["Content-Type"].startswith("text/plain; version=")
    assert "no-store" in answer["Cache-Control"]
    assert "# TYPE loopwright_feed_lag_seconds gauge" in answer.content.decode()


@pytest.mark.django_db
def test_the_feeds_tell_what_waits_for_its_number():
    before = figure("feed_lag_changes")

    factories.make_conveyor(factories.make_plant())

    assert figure("feed_lag_changes") > before
    assert figure("feed_lag_seconds") >= 0


@pytest.mark.django_db
def test_webhooks_tell_what_waits_how_long_and_what_was_set_aside():
    plant = factories.make_plant()
    target = hook_rows.make_row(plant)
    made_at = timezone.now() - timedelta(minutes=5)
    hook_rows.make_delivery(plant, target, 1, made_at=made_at)
    hook_rows.make_delivery(plant, target, 2, state="parked")

    now_told = told()

    assert now_told["loopwright_webhook_backlog_deliveries", ()] == 1
    assert now_told["loopwright_webhook_parked_deliveries", ()] == 1
    for name, of in (
        ("loopwright_webhook_oldest_seconds", ()),
        ("loopwright_owed_oldest_seconds", (("sweep", "webhooks"),)),
    ):
        assert 300 <= now_told[name, of] < 360


@pytest.mark.django_db
def test_owed_work_is_as_old_as_its_oldest_piece():
    assert figure("owed_oldest_seconds", sweep="password links") == 0
    asked_at = timezone.now() - timedelta(minutes=10)
    PasswordLink.objects.create(
        address="a@larkwater.example", site="http://x", asked_at=asked_at, try_at=asked_at
    )

    assert 600 <= figure("owed_oldest_seconds", sweep="password links") < 660


# What these do is due by the clock or on change: no table says since when.
_BY_THE_CLOCK = {
    "answers of the API",
    "counts of requests",
    "exchange files due",
    "months to report",
    "old webhook deliveries",
    "outage windows",
    "reminders",
    "weeks of the change feeds",
}


def test_every_sweep_says_since_when_its_oldest_piece_is_owed_or_has_no_such_thing():
    assert set(owed.names()) - set(owed.oldest_by_name()) == _BY_THE_CLOCK
    assert set(owed.oldest_by_name()) <= set(owed.names())


@pytest.fixture
def sweeps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(owed, "_sweeps", {})
    monkeypatch.setattr(owed, "_long_sweeps", {})
    monkeypatch.setattr(owed, "_sending_sweeps", {})
    monkeypatch.setattr(sweep_counts, "_noted_at", {})


@pytest.mark.django_db
def test_a_sweep_that_fails_keeps_the_time_of_its_last_success(sweeps: None):
    outcome = [3]
    owed.register("a sweep", lambda: outcome.pop())
    owed.run_all()
    succeeded = figure("sweep_last_success_timestamp_seconds", sweep="a sweep")

    owed.run_all()

    assert figure("sweep_last_success_timestamp_seconds", sweep="a sweep") == succeeded
    assert figure("sweep_done_total", sweep="a sweep") == 3
    assert figure("sweep_failures_total", sweep="a sweep") == 1


@pytest.mark.django_db
def test_sweeps_that_find_nothing_are_noted_only_now_and_then(
    sweeps: None, django_assert_num_queries: Any
):
    owed.register("a sweep", lambda: 0)
    owed.run_all()

    with django_assert_num_queries(0):
        owed.run_all()

    assert SweepCount.objects.get().done == 0


@pytest.mark.django_db
def test_a_part_that_fails_is_named_and_keeps_no_other_back(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(site_figures, "_parts", dict(site_figures._parts))

    def fail() -> Iterator[site_figures.Told]:
        raise RuntimeError("no such table")
        yield

    site_figures.register("a broken part", fail)

    assert figure("figures_failed", part="a broken part") == 1
    assert figure("figures_failed", part="feeds") == 0


@pytest.mark.django_db
def test_what_two_processes_have_counted_is_added_up():
    here, there = Counts(), Counts()
    of = {"route": "/cases/", "method": "GET"}
    for counts, seconds in ((here, 0.01), (here, 0.2), (there, 2.0), (there, 90.0)):
        counts.add(**of, status=200, seconds=seconds)
    here.write()
    there.write()
    there.add(**of, status=404, seconds=0.02)
    there.write()

    assert figure("http_requests_total", **of, status="200") == 4
    assert figure("http_requests_total", **of, status="404") == 1
    bucket = "http_request_duration_seconds_bucket"
    below = {le: figure(bucket, **of, le=le) for le in ("0.03", "0.3", "1.0", "3.0", "+Inf")}
    assert below == {"0.03": 2, "0.3": 3, "1.0": 3, "3.0": 4, "+Inf": 5}
    assert figure("http_request_duration_seconds_sum", **of) == pytest.approx(92.23)


@pytest.mark.django_db
def test_a_fault_is_written_down_at_once_and_others_when_it_is_time(
    django_assert_num_queries: Any,
):
    counts = Counts()

    with django_assert_num_queries(0):
        counts.add(route="/", method="GET", status=200, seconds=0.1)
    counts.add(route="/", method="GET", status=500, seconds=0.1)

    assert {row.status: row.count for row in RequestCount.objects.all()} == {200: 1, 500: 1}


@pytest.fixture
def counts(monkeypatch: pytest.MonkeyPatch) -> Counts:
    mine = Counts()
    monkeypatch.setattr(request_counts, "of_this_process", mine)
    return mine


@pytest.mark.django_db
def test_requests_are_counted_by_the_pattern_of_their_address(counts: Counts):
    client = Client()
    for path in ("/api/v1/work-orders/LT-W-0001", "/api/v1/work-orders/LT-W-0002"):
        client.get(path)
    client.generic("BREW", "/api/v1/work-orders/LT-W-0002")
    for path in ("/plants/lt/", "/made/up/1", "/made/up/2", "/static/no/such.css"):
        client.get(path)
    counts.write()

    found = {(one.route, one.method): one.count for one in RequestCount.objects.all()}
    assert found == {
        ("/api/v1/work-orders/<number>", "GET"): 2,
        ("/api/v1/work-orders/<number>", "other"): 1,
        ("/plants/<code>/", "GET"): 1,
        ("no such address", "GET"): 2,
        ("static files", "GET"): 1,
    }


def test_where_nobody_watches_nothing_is_counted(settings: Any):
    settings.METRICS_TOKEN = ""

    with pytest.raises(MiddlewareNotUsed):
        CountsRequests(lambda _request: HttpResponse())


@pytest.mark.django_db
def test_figures_take_the_same_few_queries_however_much_there_is(
    django_assert_max_num_queries: Any,
):
    for number in range(30):
        counts = Counts()
        counts.add(route=f"/page/{number}/", method="GET", status=200, seconds=0.1)
        counts.write()

    with django_assert_max_num_queries(40):
        ask()
