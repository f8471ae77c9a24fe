"""Pages of a feed: cursors, limits, refusals, another plant, too old."""

import base64
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from plant.models import ApiKey, FeedChange, FeedPosition, Plant
from plant.services import feed_numbering, feed_reading, feed_weeks
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.feeds.following import CASES, COMPLAINTS, ORDERS, REGISTER, get, now, told

pytestmark = pytest.mark.django_db


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


def make_some(plant: Plant, how_many: int) -> list[str]:
    conveyor = register.make_conveyor(plant)
    return [factories.make_order_by_hand(conveyor).number for _ in range(how_many)]


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 1000])
def test_pages_give_every_change_once_in_order(plant: Plant, secret: str, limit: int) -> None:
    expected = make_some(plant, 7)

    found, after, numbers = [], "", []
    while True:
        answer = get(secret, after=after, limit=limit)
        assert len(answer["results"]) <= limit
        found += [one["key"] for one in answer["results"]]
        numbers += [one["number"] for one in answer["results"]]
        after = answer["next"]
        if not answer["more"]:
            break

    assert found == expected
    assert numbers == sorted(set(numbers))
    assert told(secret, after=after) == []


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (datetime(2026, 11, 17, 20, 5, 33, 204600, UTC), "2026-11-17T20:05:33.204600Z"),
        (datetime(2026, 11, 17, 20, 5, 33, 0, UTC), "2026-11-17T20:05:33Z"),
    ],
)
def test_instants_are_told_as_everywhere_on_the_wire(
    plant: Plant, secret: str, at: datetime, said: str
) -> None:
    make_some(plant, 1)
    get(secret)
    FeedChange.objects.update(at=at)

    assert [one["at"] for one in get(secret)["results"]] == [said]


def test_now_holds_nothing_and_leads_to_what_is_to_come(plant: Plant, secret: str) -> None:
    make_some(plant, 2)
    answer = get(secret, after="now")
    assert (answer["results"], answer["more"]) == ([], False)

    expected = make_some(plant, 2)

    assert [one["key"] for one in told(secret, after=answer["next"])] == expected


def test_a_plant_where_nothing_happens_moves_on_with_the_others(plant: Plant, secret: str) -> None:
    before = now(secret)
    other = register.make_plant()
    make_some(other, 3)

    answer = get(secret, after=before)

    # Otherwise the cursor of a quiet plant would be too old one day though it missed nothing.
    assert answer["results"] == []
    assert answer["next"] != before


def test_what_is_left_out_is_passed_over(plant: Plant) -> None:
    key, secret = factories.make_key(plant)
    make_some(plant, 2)
    whole = get(secret)

    connection.cursor().execute("UPDATE plant_feedchange SET by_key = %s", [key.prefix])

    answer = get(secret, own="no")
    assert (answer["results"], answer["more"]) == ([], False)
    assert answer["next"] == whole["next"]


@pytest.mark.parametrize(
    ("address", "scope"),
    [
        (ORDERS, ApiKey.Scope.WORK_ORDERS_READ),
        (COMPLAINTS, ApiKey.Scope.COMPLAINTS_READ),
        (CASES, ApiKey.Scope.CASES_READ),
        (REGISTER, ApiKey.Scope.REGISTER_READ),
    ],
)
def test_each_feed_wants_its_own_scope_and_no_other(plant: Plant, address: str, scope: str) -> None:
    _key, secret = factories.make_key(plant, scope)

    for other in (ORDERS, COMPLAINTS, CASES, REGISTER):
        get(secret, other, HTTPStatus.OK if other == address else HTTPStatus.FORBIDDEN)


def test_another_plants_changes_are_not_told_whatever_the_cursor(plant: Plant, secret: str) -> None:
    other = register.make_plant()
    _key, theirs = factories.make_key(other)
    before = now(theirs)
    make_some(other, 2)
    make_some(plant, 1)

    assert {one["plant"] for one in told(secret, after=before)} == {plant.code}


@pytest.mark.parametrize(
    "cursor",
    ["x", "%%%", "é", "a" * 5000, "\x00", "AAAA", base64.b64encode(b"work_orders|1").decode()],
)
def test_a_cursor_somebody_made_up_is_refused_with_the_accepted_form(
    secret: str, cursor: str
) -> None:
    problem = get(secret, status=HTTPStatus.BAD_REQUEST, after=cursor)

    (error,) = problem["errors"]
    assert (error["field"], error["code"]) == ("after", "invalid_cursor")
    assert "after=now" in error["detail"]


@pytest.mark.parametrize(
    "text",
    ["work_orders|-1|0", "work_orders|1|" + "9" * 19, "work_orders|" + "9" * 19 + "|1", "|1|1"],
)
def test_figures_beyond_all_bounds_in_a_cursor_are_refused(secret: str, text: str) -> None:
    cursor = base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")

    get(secret, status=HTTPStatus.BAD_REQUEST, after=cursor)


def test_a_cursor_of_another_feed_is_refused(secret: str) -> None:
    get(secret, CASES, HTTPStatus.BAD_REQUEST, after=now(secret))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("limit", "0"),
        ("limit", "1001"),
        ("limit", "ten"),
        ("limit", "٣"),
        ("wait", "31"),
        ("wait", "-1"),
        ("wait", "1.5"),
        ("wait", ""),
        ("own", "maybe"),
    ],
)
def test_what_is_out_of_bounds_is_refused_by_name(secret: str, name: str, value: str) -> None:
    problem = get(secret, status=HTTPStatus.BAD_REQUEST, **{name: value})

    assert problem["errors"][0]["field"] == name


def test_a_page_takes_the_same_number_of_queries_however_long(
    plant: Plant, secret: str, django_assert_max_num_queries
) -> None:
    make_some(plant, 5)
    get(secret)

    after = now(secret)
    make_some(plant, 1)
    get(secret)
    # The key, when it was used, where the feeds stand, whether they began anew, the page.
    with django_assert_max_num_queries(5):
        get(secret, after=after)


def test_changes_too_old_are_dropped_and_who_missed_some_is_told(
    plant: Plant, secret: str, settings
) -> None:
    settings.FEED_KEPT_DAYS = 30
    early = now(secret)
    make_some(plant, 2)
    late = now(secret)

    feed_weeks.keep_weeks(now=timezone.now() + timedelta(days=45))

    problem = get(secret, status=HTTPStatus.GONE, after=early)
    assert problem["code"] == "changes_no_longer_kept"
    assert "after=now" in problem["detail"]
    # Who had read them all goes on; so does who begins anew.
    assert told(secret, after=late) == []
    assert told(secret) == []
    expected = make_some(plant, 1)
    assert [one["key"] for one in told(secret, after=late)] == expected


def test_nothing_is_dropped_before_its_time(plant: Plant, secret: str, settings) -> None:
    settings.FEED_KEPT_DAYS = 30
    before = now(secret)
    expected = make_some(plant, 2)

    feed_weeks.keep_weeks(now=timezone.now() + timedelta(days=29))

    assert [one["key"] for one in told(secret, after=before)] == expected


def test_a_cursor_from_before_an_older_backup_came_back_is_refused(
    plant: Plant, secret: str
) -> None:
    make_some(plant, 2)
    after = get(secret)["next"]

    FeedPosition.objects.update(last_number=0)
    connection.cursor().execute("DELETE FROM plant_feedchange")

    get(secret, status=HTTPStatus.GONE, after=after)


def test_a_cursor_is_refused_when_its_numbers_were_given_out_again(
    plant: Plant, secret: str
) -> None:
    make_some(plant, 2)
    after = get(secret)["next"]

    FeedPosition.objects.update(last_number=0)
    connection.cursor().execute("DELETE FROM plant_feedchange")
    make_some(plant, 5)
    told(secret)

    get(secret, status=HTTPStatus.GONE, after=after)


def test_next_weeks_changes_find_their_place_though_no_worker_ran(
    plant: Plant, secret: str
) -> None:
    ahead = timezone.now() + timedelta(days=400)
    FeedPosition.objects.update(last_at=ahead)

    expected = make_some(plant, 2)

    assert [one["key"] for one in told(secret)] == expected


def test_the_clock_set_back_does_not_turn_the_order(plant: Plant, secret: str) -> None:
    first = make_some(plant, 1)
    answer = get(secret)
    FeedPosition.objects.update(last_at=timezone.now() + timedelta(hours=3))

    second = make_some(plant, 1)

    assert [one["key"] for one in told(secret)] == first + second
    assert [one["key"] for one in told(secret, after=answer["next"])] == second


def test_the_worker_numbers_what_nobody_reads(plant: Plant, secret: str) -> None:
    make_some(plant, 3)

    assert feed_numbering.number_owed() >= 3
    assert feed_numbering.number_owed() == 0
    feed_numbering.keep_weeks_owed()
    assert feed_numbering.keep_weeks_owed() == 0


def test_changes_dropped_while_they_are_read_are_told_as_missed(
    plant: Plant, secret: str, settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.FEED_KEPT_DAYS = 30
    early = now(secret)
    make_some(plant, 2)
    feed_numbering.number_batch()
    later = timezone.now() + timedelta(days=45)
    read = feed_reading.feed_pages.page_after

    def drop_and_read(*asked: Any) -> Any:
        feed_weeks.keep_weeks(now=later)
        return read(*asked)

    monkeypatch.setattr(feed_reading.timezone, "now", lambda: later)
    monkeypatch.setattr(feed_reading.feed_pages, "page_after", drop_and_read)

    problem = get(secret, status=HTTPStatus.GONE, after=early)

    assert problem["code"] == "changes_no_longer_kept"
