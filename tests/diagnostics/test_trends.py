"""Trend pages: what is counted, listed, taken away."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import fixes
from diagnostics.fixes import Fix
from diagnostics.models import Case
from diagnostics.recurrence.trend_tables import Cell
from diagnostics.selectors import trends
from diagnostics.selectors.trends import Period
from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.plant.factories import signed_in

YEAR = Period(date(2026, 1, 1), date(2026, 12, 31))


@pytest.fixture
def plant(db: None) -> Plant:
    return register.make_plant(code="LT", time_zone="America/Halifax")


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return register.make_conveyor(plant, tag="Q30", name="Quay conveyor")


@pytest.fixture
def lead(plant: Plant) -> Client:
    return signed_in(register.make_person(Role.LEAD, plants=[plant]))


_numbers = iter(range(1, 100_000))


def make_case(belt: Conveyor, opened: datetime | None = None, **fields: object) -> Case:
    defaults = {
        "number": f"{belt.plant.code}-C-{next(_numbers):04d}",
        "summary": "rubs",
        "opened_at": opened or datetime(2026, 5, 10, 12, tzinfo=UTC),
        "zone": "tail",
        "cause_class": "tail_pulley",
        "cause": "tail_pulley_build_up",
    }
    return Case.objects.create(conveyor=belt, **{**defaults, **fields})


def make_repeat(belt: Conveyor, **fields: object) -> tuple[Case, Case]:
    earlier = make_case(
        belt,
        datetime(2026, 2, 1, 12, tzinfo=UTC),
        state="closed",
        proved_at=datetime(2026, 2, 10, tzinfo=UTC),
    )
    return earlier, make_case(belt, repeat_of=earlier, **fields)


def test_a_day_is_that_of_the_plants_zone(belt: Conveyor) -> None:
    # Half past one in the night in UTC is still the evening before in Halifax.
    make_case(belt, datetime(2027, 1, 1, 1, 30, tzinfo=UTC))

    assert [one.on for one in trends.events_of(Case.objects.all(), YEAR)] == [date(2026, 12, 31)]
    assert not trends.events_of(Case.objects.all(), Period(date(2027, 1, 1), date(2027, 1, 31)))


@pytest.mark.parametrize("state", ["not mistracking", "cancelled"])
def test_what_was_no_mistracking_is_no_event(belt: Conveyor, state: str) -> None:
    make_case(belt, state=state)

    assert trends.events_of(Case.objects.all(), YEAR) == []


def test_belts_with_most_repeats_stand_first(plant: Plant, belt: Conveyor) -> None:
    other = register.make_conveyor(plant, tag="A1")
    for _turn in range(3):
        make_case(other)
    make_repeat(belt)

    counts = trends.belts_of(Case.objects.all(), YEAR)

    assert [(one.tag, one.cases, one.repeats) for one in counts] == [("Q30", 2, 1), ("A1", 3, 0)]


def test_a_repeat_says_what_did_not_hold_and_how_long(
    belt: Conveyor, monkeypatch: pytest.MonkeyPatch
) -> None:
    earlier, again = make_repeat(belt)
    fix = Fix("LT-W-0009", "Clean the tail pulley", None, "/work/LT-W-0009/")
    monkeypatch.setattr(fixes, "_sources", {"x": lambda _ids: {earlier.pk: [fix]}})

    found = list(trends.with_fixes(list(trends.repeats_of(Case.objects.all(), YEAR))))

    assert [(one.case, one.earlier, one.days_held) for one in found] == [(again, earlier, 89)]
    assert found[0].fixes == [fix]


def read(client: Client, address: str, **query: str) -> str:
    response = client.get(address, query)
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def wide() -> dict[str, str]:
    return {"since": "2026-01-01", "until": "2026-12-31"}


def belt_address(belt: Conveyor, name: str = "conveyor-trend", *more: str) -> str:
    return reverse(name, args=[belt.plant.code, belt.tag, *more])


def test_strangers_are_sent_to_sign_in(belt: Conveyor) -> None:
    files = [
        reverse("trends-file", args=["time"]),
        belt_address(belt, "conveyor-trend-file", "time"),
    ]
    for address in (reverse("trends"), belt_address(belt), *files):
        assert Client().get(address).status_code == HTTPStatus.FOUND


@pytest.mark.parametrize("role", Role)
def test_every_role_reads_both_pages(plant: Plant, belt: Conveyor, role: Role) -> None:
    make_repeat(belt)
    client = signed_in(register.make_person(role, plants=[plant]))

    for address in (reverse("trends"), belt_address(belt)):
        text = read(client, address, **wide())
        assert text.count("<svg") >= 3
        assert "Exposure is calendar time" in text


def test_another_plants_belts_are_neither_counted_nor_there(lead: Client, belt: Conveyor) -> None:
    theirs = register.make_conveyor(register.make_plant(), tag="Z99")
    make_case(theirs)

    text = read(lead, reverse("trends"), **wide())

    assert "No case in this period" in text
    assert "Z99" not in text
    assert lead.get(belt_address(theirs)).status_code == HTTPStatus.NOT_FOUND
    assert lead.get(belt_address(theirs, "conveyor-trend-file", "time")).status_code == 404


def test_an_empty_trend_says_what_to_do_first(lead: Client, belt: Conveyor) -> None:
    assert "take the first complaint" in read(lead, reverse("trends"))
    assert "No case on this belt" in read(lead, belt_address(belt))


def test_repeats_are_listed_with_cause_and_the_case_they_repeat(
    lead: Client, belt: Conveyor
) -> None:
    earlier, again = make_repeat(belt)

    for address in (reverse("trends"), belt_address(belt)):
        text = read(lead, address, **wide())
        assert again.number in text
        assert earlier.number in text
        assert "held 89 days" in text
        assert reverse("cause", args=["tail_pulley_build_up"]) in text


def test_every_chart_has_its_table_with_the_same_counts(lead: Client, belt: Conveyor) -> None:
    make_repeat(belt)

    views = lead.get(reverse("trends"), wide()).context["views"]

    assert [view.chart.slug for view in views] == ["time", "zones", "families"]
    for view in views:
        totals = [total for _words, _cells, total in view.rows()]
        assert sum(total.cases for total in totals) == 2
        assert sum(total.repeats for total in totals) == 1


def test_the_family_narrows_everything(lead: Client, belt: Conveyor) -> None:
    make_case(belt)
    other = make_case(belt, cause_class="loading", cause="off_centre_loading", zone="load zone")

    page = lead.get(reverse("trends"), {**wide(), "family": "loading"})

    assert page.context["views"][0].table.total_of("") == Cell(1, 0)
    assert [one.count.tag for one in page.context["belts"]] == [other.conveyor.tag]


def test_the_plant_narrows_for_whoever_has_several(plant: Plant, belt: Conveyor) -> None:
    second = register.make_plant(code="FQ")
    make_case(belt)
    make_case(register.make_conveyor(second, tag="F1"))
    client = signed_in(register.make_person(Role.LEAD, plants=[plant, second]))

    belts = client.get(reverse("trends"), {**wide(), "plant": "FQ"}).context["belts"]

    assert [one.count.tag for one in belts] == ["F1"]


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"since": "2026-05-01", "until": "2026-04-01"}, "until"),
        ({"since": "yesterday"}, "since"),
        ({"until": "0000-00-00"}, "until"),
        ({"since": "1900-01-01", "until": "2026-01-01"}, "since"),
        ({"family": "gremlins"}, "family"),
    ],
)
def test_a_wrong_filter_is_named_and_kept(
    lead: Client, belt: Conveyor, query: dict[str, str], field: str
) -> None:
    response = lead.get(reverse("trends"), query)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert field in response.context["form"].errors
    assert query.get(field, "") in response.content.decode()


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_edges_of_the_calendar_are_no_fault(lead: Client, belt: Conveyor, day: str) -> None:
    for query in ({"since": day}, {"until": day}, {"since": day, "until": day}):
        assert lead.get(reverse("trends"), query).status_code in {200, 400}


FILES = ["time", "zones", "families", "belts", "repeats"]


@pytest.mark.parametrize("table", FILES)
def test_every_table_is_taken_away_as_csv(lead: Client, belt: Conveyor, table: str) -> None:
    make_repeat(belt)

    response = lead.get(reverse("trends-file", args=[table]), wide())

    assert response["Content-Type"].startswith("text/csv")
    assert "attachment" in response["Content-Disposition"]
    header, *rows = csv.reader(io.StringIO(response.content.decode("utf-8-sig")))
    assert rows
    assert all(len(row) == len(header) for row in rows)


def test_a_file_counts_what_the_page_counts(lead: Client, belt: Conveyor) -> None:
    make_repeat(belt)

    text = lead.get(reverse("trends-file", args=["zones"]), wide()).content.decode("utf-8-sig")

    rows = list(csv.DictReader(io.StringIO(text)))
    assert sum(int(row["cases"]) for row in rows) == 2
    assert sum(int(row["repeats"]) for row in rows) == 1


def test_a_name_that_is_a_formula_is_no_formula_in_the_file(lead: Client, plant: Plant) -> None:
    make_case(register.make_conveyor(plant, tag="=1+1", name='=HYPERLINK("http://x")'))

    text = lead.get(reverse("trends-file", args=["belts"]), wide()).content.decode("utf-8-sig")

    row = list(csv.reader(io.StringIO(text)))[1]
    assert row[1:3] == ["'=1+1", '\'=HYPERLINK("http://x")']


def test_a_table_nobody_knows_is_not_there(lead: Client, belt: Conveyor) -> None:
    assert lead.get(reverse("trends-file", args=["secrets"])).status_code == HTTPStatus.NOT_FOUND


def test_pages_take_the_same_few_queries_however_much_came_back(
    lead: Client, belt: Conveyor, django_assert_max_num_queries
) -> None:
    for turn in range(25):
        _earlier, again = make_repeat(belt)
        Case.objects.filter(pk=again.pk).update(opened_at=again.opened_at + timedelta(days=turn))

    with django_assert_max_num_queries(32):
        page = lead.get(reverse("trends"), wide())

    assert len(page.context["repeats"]) == 20
    assert page.context["page"].paginator.num_pages == 2
