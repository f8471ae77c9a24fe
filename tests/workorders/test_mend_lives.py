"""How long mends hold: what is counted, what is compared, what the pages say and give away."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.selectors.trends import Period
from plant.metering.basis import Basis
from plant.metering.readings import MeterQuantity
from plant.models import Conveyor, Plant
from plant.roles import Role
from plant.services.reading_meters import NewReading, keep_reading
from plant.templatetags import sheet
from tests.plant.factories import signed_in
from tests.workorders import factories, mend_rows
from workorders import mend_words
from workorders.models import WorkOrder
from workorders.selectors import mend_lives
from workorders.selectors.mend_lives import GroupedBy

NOW = datetime(2026, 11, 2, 12, tzinfo=UTC)
PROVED = NOW - timedelta(days=300)
YEAR = Period(date(2025, 11, 3), date(2026, 11, 2))


@pytest.fixture
def plant(db: None) -> Plant:
    return factories.make_plant(code="LT")


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return factories.make_conveyor(plant)


@pytest.fixture
def lead(plant: Plant, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return signed_in(factories.make_person(Role.LEAD, plant))


def lives(
    by: GroupedBy = GroupedBy.METHOD, period: Period = YEAR, basis: Basis = Basis.CALENDAR
) -> mend_lives.Mends:
    return mend_lives.mends_of(WorkOrder.objects.all(), period, by, NOW, basis)


def held() -> list[tuple[float, bool]]:
    return [(one.held_days, one.came_back) for one in lives().rows]


def test_a_mend_that_came_back_held_until_then(belt: Conveyor):
    mend_rows.make_mend(belt, PROVED, back_after_days=41)

    assert held() == [(41, True)]


def test_a_mend_is_watched_no_longer_than_the_window_of_its_plant(plant: Plant, belt: Conveyor):
    mend_rows.make_mend(belt, PROVED)
    mend_rows.make_mend(belt, NOW - timedelta(days=60))

    assert held() == [(plant.recurrence_window_days, False), (60, False)]


def test_what_came_back_before_an_order_was_proved_is_no_return_of_it(belt: Conveyor):
    first = mend_rows.make_mend(belt, PROVED, back_after_days=5)
    second = mend_rows.make_order(
        first.case, state=mend_rows.OrderState.PROVED, method="lag-pulley"
    )
    mend_rows.watch(second, PROVED + timedelta(days=20), passed=True)

    assert held() == [(5, True), (180, False)]


@pytest.mark.parametrize("state", ["not mistracking", "cancelled"])
def test_a_case_that_was_no_mistracking_is_no_return(belt: Conveyor, state: str):
    order = mend_rows.make_mend(belt, NOW - timedelta(days=60))
    mend_rows.make_case(belt, NOW - timedelta(days=20), repeat_of=order.case, state=state)

    assert held() == [(60, False)]


def test_a_mend_proved_this_instant_is_counted(belt: Conveyor):
    mend_rows.make_mend(belt, NOW)

    [(days, came_back)] = held()

    assert 0 < days < 0.01
    assert not came_back


def test_a_mend_that_failed_its_proof_is_counted_apart(belt: Conveyor):
    mend_rows.make_failed(belt, PROVED, method="lag-pulley")
    mend_rows.make_failed(belt, NOW - timedelta(days=900), method="lag-pulley")

    found = lives()

    assert found.rows == []
    assert found.failed_on_proof == {"lag-pulley": 1}


def test_only_mends_proved_in_the_period_count(belt: Conveyor):
    mend_rows.make_mend(belt, PROVED)
    mend_rows.make_mend(belt, NOW - timedelta(days=500))

    assert len(lives().rows) == 1
    assert lives(period=Period(YEAR.first, YEAR.last, "loading")).rows == []


@pytest.mark.parametrize(
    ("by", "fields", "group"),
    [
        (GroupedBy.METHOD, {}, "square-return-idlers"),
        (GroupedBy.FAMILY, {}, "return_idler"),
        (GroupedBy.ZONE, {"zone": "tail"}, "tail"),
        (GroupedBy.TURN, {}, "first"),
        (GroupedBy.TAKE_UP, {}, "gravity"),
    ],
)
def test_mends_are_grouped_by_what_was_asked(
    belt: Conveyor, by: GroupedBy, fields: Any, group: str
):
    mend_rows.make_mend(belt, PROVED, **fields)

    assert [one.group for one in lives(by).rows] == [group]


@pytest.mark.parametrize(
    ("fields", "rise"),
    [
        ({}, "level"),
        ({"lift_m": -9}, "inclined"),
        ({"lift_m": 9, "is_reversing": True}, "reversing"),
    ],
)
def test_the_kind_of_a_conveyor_follows_from_its_figures(plant: Plant, fields: Any, rise: str):
    assert mend_lives.rise_of(factories.make_conveyor(plant, **fields)) == rise


def read_meter(belt: Conveyor, days_ago: int, hours: str) -> None:
    at = NOW - timedelta(days=days_ago)
    new = NewReading(quantity=MeterQuantity.RUNNING_HOURS, read_at=at, reading=Decimal(hours))
    keep_reading(conveyor_id=belt.pk, new=new, by=None, now=NOW)


def test_running_hours_count_by_the_meter(belt: Conveyor):
    # 12 hours a day for a hundred days.
    read_meter(belt, 100, "0")
    read_meter(belt, 0, "1200")
    mend_rows.make_mend(belt, NOW - timedelta(days=80), back_after_days=30)
    mend_rows.make_mend(belt, NOW - timedelta(days=20))

    found = lives(basis=Basis.RUNNING)

    assert [(one.held_days, one.came_back) for one in found.rows] == [
        (pytest.approx(15), True),
        (pytest.approx(10), False),
    ]


def test_a_gap_of_the_meter_ends_the_watching(belt: Conveyor):
    read_meter(belt, 100, "0")
    read_meter(belt, 50, "600")
    mend_rows.make_mend(belt, NOW - timedelta(days=80), back_after_days=40)
    mend_rows.make_mend(belt, NOW - timedelta(days=20))

    found = lives(basis=Basis.RUNNING)

    assert [(one.held_days, one.came_back) for one in found.rows] == [(pytest.approx(15), False)]
    assert (found.unmetered, found.cut_short) == (1, 1)


def test_the_page_says_which_time_it_counts(belt: Conveyor, lead: Client):
    mend_rows.make_mend(belt, PROVED)

    assert "Time is calendar days" in read(lead, "mends").content.decode()
    page = read(lead, "mends", per="running hours").content.decode()
    assert "1 mend is left out: the meter was not read around its proof run." in page
    assert read(lead, "mends", per="tonnes").status_code == 400


def test_by_the_meter_pages_and_files_count_running_days(belt: Conveyor, lead: Client):
    read_meter(belt, 100, "0")
    read_meter(belt, 0, "1200")
    mend_rows.make_mend(belt, NOW - timedelta(days=80), back_after_days=30)

    groups, watched, mends = (
        table(read(lead, "mends-file", name, per="running hours"))[0]
        for name in ("groups", "watched", "mends")
    )
    page = read(lead, "mends", per="running hours").content.decode()
    listed = read(lead, "mends-of-group", per="running hours").content.decode()

    assert "Still hold after 90 running days" in groups
    assert "Longest watched [running days]" in groups
    assert watched[1] == "Running day 0"
    assert "Held [running days]" in mends
    assert "Half came back after, running days" in page
    assert "Running day 30" in page
    assert "Held, running days" in listed


def test_what_came_back_after_a_gap_is_not_said_to_have_held(belt: Conveyor, lead: Client):
    read_meter(belt, 100, "0")
    read_meter(belt, 50, "600")
    mend_rows.make_mend(belt, NOW - timedelta(days=80), back_after_days=40)

    listed = read(lead, "mends-of-group", per="running hours").content.decode()

    # Apostrophes are escaped on the page.
    assert "came back after a gap in the meter" in listed
    assert "held to the end of the window" not in listed


def fill(belt: Conveyor, *, good: str = "lag-pulley", poor: str = "square-return-idlers") -> None:
    for day in range(8):
        mend_rows.make_mend(belt, PROVED + timedelta(days=day), method=good)
        mend_rows.make_mend(
            belt, PROVED + timedelta(days=day), method=poor, back_after_days=20 + day
        )


def read(client: Client, name: str, *args: str, **query: str) -> Any:
    return client.get(reverse(name, args=args), query)


def table(answer: Any) -> list[list[str]]:
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_the_page_names_the_best_method_and_how_sure_that_is(belt: Conveyor, lead: Client):
    fill(belt)

    page = read(lead, "mends", family="return_idler").content.decode()

    assert "held best in the family Return idlers: 100 % still hold after 180 days" in page
    assert "more than chance would make them" in page
    assert page.count("<svg") > 1


def test_a_difference_that_chance_may_make_is_called_that(belt: Conveyor, lead: Client):
    for method in ("lag-pulley", "square-return-idlers"):
        for day in range(5):
            mend_rows.make_mend(
                belt,
                PROVED + timedelta(days=day),
                method=method,
                back_after_days=30 + day if day > 2 else None,
            )

    page = read(lead, "mends").content.decode()

    assert "That may well be chance" in page
    assert "No difference between the groups is shown" in page


def test_a_share_nobody_was_watched_for_is_a_dash_with_its_reason(belt: Conveyor, lead: Client):
    mend_rows.make_mend(belt, NOW - timedelta(days=40))

    page = read(lead, "mends").content.decode()

    assert "No mend of this group was watched for 90 days; the longest for 40 days." in page
    assert "1 group with fewer than 5 mends: too few to judge" in page


def test_a_row_leads_to_its_mends(belt: Conveyor, lead: Client):
    fill(belt)

    answer = read(lead, "mends-of-group", by="method", group="square-return-idlers")

    page = answer.content.decode()
    assert answer.context["page"].paginator.count == 8
    assert page.count("came back") == 8
    assert answer.context["group"].startswith("Square")


def test_without_mends_the_page_says_what_to_do_first(lead: Client):
    assert "record one on the page of an order" in read(lead, "mends").content.decode()
    assert "No such mend" in read(lead, "mends-of-group", group="x").content.decode()


def test_methods_of_which_all_failed_their_proof_are_told(belt: Conveyor, lead: Client):
    mend_rows.make_failed(belt, PROVED, method="no-such-method")

    assert "no such method: its one mend failed" in read(lead, "mends").content.decode()


def test_the_files_hold_figures_as_numbers(belt: Conveyor, lead: Client):
    fill(belt)

    groups, course, watched, mends = (
        table(read(lead, "mends-file", name)) for name in ("groups", "course", "watched", "mends")
    )

    by_name = {row[0]: dict(zip(groups[0], row, strict=True)) for row in groups[1:]}
    assert {row["Mends"] for row in by_name.values()} == {"8"}
    assert {row["Came back"] for row in by_name.values()} == {"0", "8"}
    assert len(course) == 1 + 8
    assert watched[0][:2] == ["Group", "Day 0"]
    assert [row[1] for row in watched[1:]] == ["8", "8"]
    assert len(mends) == 1 + 16


def test_an_unknown_table_is_not_there_and_a_wrong_choice_is_told(lead: Client):
    assert read(lead, "mends-file", "other").status_code == 404
    answer = read(lead, "mends", by="person")
    assert answer.status_code == 400
    assert "person is not one of the available choices" in answer.content.decode()


@pytest.mark.parametrize("by", list(GroupedBy))
def test_a_group_that_is_none_has_no_mends(belt: Conveyor, lead: Client, by: GroupedBy):
    fill(belt)

    answer = read(lead, "mends-of-group", by=by.value, group="no-such-group")

    assert answer.status_code == 200
    assert "No such mend passed its proof run" in answer.content.decode()


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0, "0 %"), (0.004, "under 1 %"), (0.5, "50 %"), (0.996, "over 99 %"), (1.0, "100 %")],
)
def test_a_share_is_all_or_nothing_only_where_it_is(share: float, words: str):
    assert mend_words.share(share) == words


def test_mends_of_another_plant_are_not_counted(lead: Client):
    fill(factories.make_conveyor())

    assert "record one on the page of an order" in read(lead, "mends").content.decode()


def test_the_page_asks_as_often_for_many_mends_as_for_few(
    belt: Conveyor, lead: Client, django_assert_max_num_queries: Any
):
    fill(belt)
    with django_assert_max_num_queries(15):
        read(lead, "mends")
    for _ in range(3):
        fill(factories.make_conveyor(belt.plant))
    with django_assert_max_num_queries(15):
        read(lead, "mends")


@pytest.mark.parametrize(("held", "said"), [(66.8, "66"), (179.6, "179"), (12.0, "12")])
def test_the_list_of_mends_tells_days_that_are_over_as_all_tables_do(held: float, said: str):
    """A mend that came back on its 67th day has held for 66."""
    assert sheet.whole_days(held) == mend_words.days(held) == said
