"""What the trend pages divide cases by, on a choice in the address, and what they leave out."""

import csv
import io
from datetime import UTC, date, datetime
from decimal import Decimal
from http import HTTPStatus

import pytest
from django.urls import reverse

from diagnostics.models import Case, FaultReckoning
from diagnostics.selectors import usual_exposure
from plant.metering.basis import Basis
from plant.metering.readings import MeterQuantity, WentOn
from plant.models import Conveyor, ConveyorChange, Plant
from plant.roles import Role
from plant.services.reading_meters import NewReading, keep_reading
from tests.diagnostics.factories import take
from tests.plant import factories as register
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
PERIOD = {"since": "2026-01-01", "until": "2026-03-31"}
HOURS, TONNES = MeterQuantity.RUNNING_HOURS, MeterQuantity.TONNES


@pytest.fixture
def belt() -> Conveyor:
    return register.make_complete_conveyor(register.make_plant(), tag="Q30")


def keep(
    belt: Conveyor,
    month: int,
    figure: str | None,
    quantity: MeterQuantity = HOURS,
    **more: object,
) -> None:
    at = datetime(2026, month, 1, tzinfo=UTC)
    new = NewReading(
        quantity,
        at,
        None if figure is None else Decimal(figure),
        **more,  # type: ignore[arg-type]
    )
    keep_reading(conveyor_id=belt.pk, new=new, by=None, now=datetime(2027, 1, 1, tzinfo=UTC))


def open_case(belt: Conveyor, month: int, day: int) -> None:
    case = take(belt).case
    assert case is not None
    opened_at = datetime(2026, month, day, tzinfo=UTC)
    Case.objects.filter(pk=case.pk).update(opened_at=opened_at, state="closed")


def ask(belt: Conveyor, name: str, *more: str, **query: str):
    lead = signed_in(register.make_person(Role.LEAD, plants=[belt.plant]))
    of_belt = [belt.plant.code, belt.tag] if name.startswith("conveyor") else []
    return lead.get(reverse(name, args=[*of_belt, *more]), {**PERIOD, **query})


def read(belt: Conveyor, name: str = "conveyor-trend", **query: str) -> str:
    text = ask(belt, name, **query).content.decode()
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


def settle(plant: Plant, basis: Basis) -> None:
    """What the plant was last reckoned by."""
    FaultReckoning.objects.create(
        plant=plant,
        basis=basis.value,
        span=FaultReckoning.Span.USUAL,
        first_on=date(2025, 1, 1),
        last_on=date(2026, 6, 30),
        is_usual=True,
        looked_at=datetime(2026, 6, 30, tzinfo=UTC),
    )


def test_a_plant_of_metered_belts_counts_running_hours(belt: Conveyor):
    settle(belt.plant, Basis.RUNNING)
    keep(belt, 1, "1000")
    keep(belt, 4, "2000")
    open_case(belt, 2, 1)
    open_case(belt, 3, 1)

    text = read(belt)

    assert (
        "Exposure is running hours by the meter. That is the plant's usual exposure"
        in text.replace("&#x27;", "'")
    )
    assert "2 cases in 1,000 running hours." in text
    assert "2.00 in 1,000 running hours" in text
    # Half of the chi-square quantiles 0.7107 (0.05, 4) and 12.5916 (0.95, 6) of any table.
    assert "0.355 to 6.30 with 90 % certainty" in text
    assert "gap in its meter" not in text


def test_a_gap_is_named_with_the_cases_that_it_costs(belt: Conveyor):
    keep(belt, 1, "1000")
    keep(belt, 2, "1400")
    keep(belt, 3, None, went_on=WentOn.REPLACED, new_meter_first=Decimal(0))
    keep(belt, 4, "100")
    open_case(belt, 1, 20)
    open_case(belt, 2, 10)
    open_case(belt, 3, 15)

    text = read(belt, per="running hours")

    # 400 h in January and 100 h in March; the case of February counts in neither.
    assert "2 cases in 500 running hours." in text
    assert "4.00 in 1,000 running hours" in text
    assert "1 gap in its meter" in text
    assert "From 2026-02-01 00:00 to 2026-03-01 00:00 (28 days) nothing is known" in text
    assert "1 case in it is left out of the rate." in text


def test_readings_of_less_than_three_quarters_leave_the_calendar_usual(
    belt: Conveyor,
):
    keep(belt, 1, "1000")
    keep(belt, 3, "1500")
    open_case(belt, 2, 1)
    open_case(belt, 3, 15)

    usual, chosen = read(belt), read(belt, per="running hours")

    assert "Exposure is calendar time" in usual
    assert "running hours would be where in the last 18 months" in usual
    # 2 in 90 days are 8.12 in 365.25.
    assert "8.12 a year" in usual
    assert "1 case in 500 running hours." in chosen
    assert "2.00 in 1,000 running hours" in chosen
    assert "The meter was not read from 2026-03-01 00:00 to 2026-04-01 00:00 (31 days)" in chosen
    assert "usual" not in chosen.partition("Exposure is")[2].partition("</p>")[0]


def test_tonnes_are_a_choice_of_their_own(belt: Conveyor):
    keep(belt, 1, "0", TONNES)
    keep(belt, 4, "400000", TONNES)
    open_case(belt, 2, 1)

    text = read(belt, per="tonnes")

    assert "1 case in 400,000 t." in text
    assert "0.250 in 100,000 t" in text


def test_a_belt_that_stood_still_divides_by_nothing(belt: Conveyor):
    settle(belt.plant, Basis.RUNNING)
    keep(belt, 1, "1000")
    keep(belt, 4, "1000")
    open_case(belt, 2, 1)

    text = read(belt)

    assert "By the meter it did not run in the period" in text
    assert "in 1,000 running hours" not in text


def test_a_short_period_is_divided_by_what_the_plant_is_divided_by(belt: Conveyor):
    """One month fully read changes nothing: figures of other pages would not agree with it."""
    settle(belt.plant, Basis.CALENDAR)
    keep(belt, 1, "1000")
    keep(belt, 4, "2000")
    open_case(belt, 2, 1)

    pages = [
        read(belt),
        ask(belt, "trends").content.decode(),
        ask(belt, "before-after", since="", until="").content.decode(),
    ]

    assert all("Exposure is calendar time" in page for page in pages)
    assert "1 case in 1,000 running hours." in read(belt, per="running hours")


def test_a_belt_without_a_meter_follows_its_plant_and_says_what_to_do(belt: Conveyor):
    settle(belt.plant, Basis.RUNNING)
    open_case(belt, 2, 1)

    usual, chosen = read(belt), read(belt, per="calendar time")

    assert "No meter reading covers any of the period" in usual
    assert "choose calendar time" in usual
    assert "1 case in 90 days." in chosen


def test_plants_that_differ_have_the_calendar_in_common(belt: Conveyor):
    settle(belt.plant, Basis.RUNNING)
    other = register.make_conveyor(register.make_plant(), tag="Q31")
    now = datetime(2026, 6, 30, tzinfo=UTC)
    both = Conveyor.objects.filter(pk__in=[belt.pk, other.pk])

    own = usual_exposure.usual_of_belts(both.filter(pk=belt.pk), now)
    together = usual_exposure.usual_of_belts(both, now)

    assert own is Basis.RUNNING
    assert together is Basis.CALENDAR


def test_without_readings_a_rate_in_hours_is_no_nought(belt: Conveyor):
    open_case(belt, 2, 1)

    text = read(belt, per="running hours")

    assert "No meter reading covers any of the period" in text
    assert "No meter reading is kept: nothing is known of 90 days." in text
    assert "in 1,000 running hours" not in text


def test_a_case_after_the_belt_was_retired_is_told(belt: Conveyor):
    Conveyor.objects.update(retired_on=date(2026, 2, 28))
    open_case(belt, 2, 1)
    open_case(belt, 3, 15)

    text = read(belt)

    assert "It was retired on 2026-02-28." in text
    assert "1 case lies outside the time in which it was watched" in text
    assert "1 case in 59 days." in text


def test_a_belt_that_came_later_says_since_when_it_is_watched(belt: Conveyor):
    late = register.make_conveyor(belt.plant, tag="Q31")
    for one, month in ((belt, 1), (late, 3)):
        at = datetime(2026, month, 2, tzinfo=UTC)
        ConveyorChange.objects.filter(pgh_obj=one).update(pgh_created_at=at)
    open_case(late, 3, 15)

    text = read(late)

    assert "The belt is watched since 2026-03-02, when its record begins." in text
    assert "1 case in 30 days." in text


def test_an_exposure_that_is_none_is_refused_at_its_field(belt: Conveyor):
    response = ask(belt, "conveyor-trend", per="furlongs")

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "furlongs is not one of the available choices" in response.content.decode()


def test_the_plants_table_has_a_rate_where_there_is_one_and_else_says_why(belt: Conveyor):
    unread = register.make_conveyor(belt.plant, tag="Q31")
    keep(belt, 1, "0")
    keep(belt, 4, "800")
    for one in (belt, belt, unread):
        open_case(one, 2, 1)

    text = read(belt, "trends", per="running hours")

    assert "2 belts were watched in the period, for 1 the exposure is known" in text
    assert "1 case falls into time of which the exposure is not known" in text
    assert "Cases in 1,000 running hours" in text
    # 2 in 800 h, the limits as above.
    assert '<td class="number" data-of="Exposure">800 running hours</td>' in text
    assert '<span class="measured">2.50</span><br><span class="muted">0.444 to 7.87</span>' in text
    assert "No meter reading covers any of the period" in text


def test_the_choice_of_exposure_stands_in_the_links_to_belts_and_files(belt: Conveyor):
    open_case(belt, 2, 1)

    text = read(belt, "trends", per="tonnes")

    query = "since=2026-01-01&amp;until=2026-03-31&amp;per=tonnes"
    assert f"/{belt.plant.code}/Q30/trend/?{query}" in text
    assert f"/trends/belts.csv?{query}" in text


def test_the_file_of_belts_says_exposure_unit_gap_and_rate(belt: Conveyor):
    unread = register.make_conveyor(belt.plant, tag="Q31", name="Spare")
    keep(belt, 2, "0")
    keep(belt, 4, "800")
    open_case(belt, 1, 10)
    open_case(belt, 3, 10)
    open_case(unread, 2, 1)

    content = ask(belt, "trends-file", "belts", per="running hours").content.decode("utf-8-sig")

    rows = list(csv.reader(io.StringIO(content)))
    assert rows[0][3:] == [
        "cases",
        "repeats",
        "exposure",
        "unit",
        "days not known",
        "cases left out",
        "Cases in 1,000 running hours",
        "at least (90 %)",
        "at most (90 %)",
    ]
    # One case: half of 0.102587 (0.05, 2) and 9.48773 (0.95, 4), in 0.8 thousand hours.
    assert rows[1][3:] == ["2", "0", "800.0", "h", "31.0", "1", "1.25", "0.0641", "5.9298"]
    assert rows[2][3:] == ["1", "0", "", "h", "90.0", "1", "", "", ""]


def test_a_page_of_more_belts_takes_no_more_queries(belt: Conveyor, django_assert_max_num_queries):
    for tag in ("Q31", "Q32", "Q33", "Q34"):
        one = register.make_conveyor(belt.plant, tag=tag)
        keep(one, 1, "0")
        keep(one, 4, "800")
        open_case(one, 2, 1)
        open_case(one, 3, 1)
    lead = signed_in(register.make_person(Role.LEAD, plants=[belt.plant]))

    with django_assert_max_num_queries(26):
        text = lead.get(reverse("trends"), {**PERIOD, "per": "running hours"}).content.decode()

    assert text.count("2.50") == 4
