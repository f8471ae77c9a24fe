"""What work adds to a belt's page of recurring faults: mends, replacements, renewals."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.belt_trend.parts import BuiltPart
from plant.loop.rolls import RollPlace, WhyChanged
from plant.models import Component, Conveyor
from plant.roles import Role
from tests.plant import condition_rows, roll_rows
from tests.plant import factories as register
from tests.plant.factories import signed_in
from tests.workorders import lives_rows
from tests.workorders.mend_rows import make_failed, make_mend

pytestmark = pytest.mark.django_db
PROVED = datetime(2026, 2, 10, 12, tzinfo=UTC)
YEAR = {"since": "2026-01-01", "until": "2026-12-31"}


@pytest.fixture
def belt() -> Conveyor:
    return register.make_complete_conveyor(register.make_plant(), tag="Q30")


@pytest.fixture
def lead(belt: Conveyor) -> Client:
    return signed_in(register.make_person(Role.LEAD, plants=[belt.plant]))


def part_of(client: Client, belt: Conveyor, slug: str, **asked: str) -> BuiltPart:
    address = reverse("conveyor-trend", args=[belt.plant.code, belt.tag])
    response = client.get(address, {**YEAR, **asked})
    assert response.status_code == 200
    return dict(response.context["parts"])[slug]


def lines(client: Client, belt: Conveyor, slug: str, **asked: str) -> list[dict[str, str]]:
    address = reverse("conveyor-trend-file", args=[belt.plant.code, belt.tag, slug])
    text = client.get(address, {**YEAR, **asked}).content.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_a_mend_is_told_with_its_order_and_how_long_it_held(lead: Client, belt: Conveyor):
    order = make_mend(belt, PROVED, back_after_days=66)

    [told] = lines(lead, belt, "mends")

    assert (told["order"], told["held (days)"], told["until now"]) == (
        order.number,
        "66",
        "came back",
    )
    assert told["came back as"]


def test_the_drawing_tells_whole_days_as_the_table_does(lead: Client, belt: Conveyor):
    make_mend(belt, PROVED, back_after_days=66.8)

    chart = part_of(lead, belt, "mends").chart

    assert chart is not None
    assert [one["days"] for one in chart.spec["data"]["values"]] == [66]
    assert lines(lead, belt, "mends")[0]["held (days)"] == "66"


def test_half_and_limits_are_those_of_kaplan_and_meier(lead: Client, belt: Conveyor):
    for place, days in enumerate((10, 20, 30)):
        make_mend(belt, PROVED + timedelta(hours=place), back_after_days=days)

    chart = part_of(lead, belt, "mends").chart

    assert chart is not None
    # Of three that came back on days 10, 20 and 30 a third holds after the second.
    assert "3 of 3 mends came back. Half had come back after 20 days" in chart.lead


def test_while_most_hold_nobody_says_when_half_come_back(lead: Client, belt: Conveyor):
    make_mend(belt, PROVED)

    chart = part_of(lead, belt, "mends").chart

    assert chart is not None
    assert "0 of 1 mend came back. More than half hold" in chart.lead


def test_an_order_that_failed_its_proof_is_counted_apart(lead: Client, belt: Conveyor):
    make_mend(belt, PROVED)
    make_failed(belt, PROVED, method="square-return-idlers")

    part = part_of(lead, belt, "mends")

    assert part.notes == ["1 more order failed its proof and never began to hold."]


def test_mends_of_another_belt_or_family_stay_away(lead: Client, belt: Conveyor):
    other = register.make_complete_conveyor(belt.plant, tag="Z1")
    make_mend(other, PROVED)
    make_mend(belt, PROVED, family="loading", method="centre-load")

    assert len(lines(lead, belt, "mends")) == 1
    assert lines(lead, belt, "mends", family="tail_pulley") == []


def test_without_a_proved_mend_the_page_says_what_makes_one(lead: Client, belt: Conveyor):
    assert "watch the proof runs that are owed" in part_of(lead, belt, "mends").missing


def fitted(belt: Conveyor, name: str, on: date) -> None:
    Component.objects.filter(conveyor=belt, name=name).update(fitted_on=on)


def test_replaced_rolls_are_told_with_their_lives(lead: Client, belt: Conveyor):
    fitted(belt, "C", date(2025, 3, 10))
    roll_rows.change(belt, "5", RollPlace.CENTRE, why=WhyChanged.SEIZED)
    roll_rows.change(belt, "6", RollPlace.CENTRE, why=WhyChanged.PRECAUTION)

    [told] = [one for one in lines(lead, belt, "replacements") if one["what"].endswith(": C")]

    assert (told["replaced in the period"], told["of these failed"]) == ("2", "1")
    # From 10 March 2025 to 10 March 2026.
    assert (told["shortest life (days)"], told["longest life (days)"]) == ("365", "365")
    assert told["half have failed by (days)"] == ""


def test_what_was_replaced_before_the_period_counts_as_a_life_alone(lead: Client, belt: Conveyor):
    fitted(belt, "C", date(2025, 3, 10))
    roll_rows.change(belt, "5", changed_on=date(2025, 6, 10))

    [told] = lines(lead, belt, "replacements")

    assert (told["replaced in the period"], told["replaced in all"]) == ("0", "1")


def test_a_renewal_stands_on_the_time_line(lead: Client, belt: Conveyor):
    reading = condition_rows.read(belt, "Head pulley", 9.5)
    renewal = lives_rows.renew_lagging(belt, reading, datetime(2026, 3, 20, 12, tzinfo=UTC))

    told = [one for one in lines(lead, belt, "time") if one["what"] == "Lagging made new"]

    assert [one["day"] for one in told] == [renewal.renewed_on.isoformat()]
    assert told[0]["which"].startswith("Head pulley")


def test_nothing_replaced_says_where_to_note_it(lead: Client, belt: Conveyor):
    assert "Roll changes are noted" in part_of(lead, belt, "replacements").missing


def test_many_mends_take_no_query_more_than_one(
    lead: Client, belt: Conveyor, django_assert_max_num_queries: Any
):
    make_mend(belt, PROVED, back_after_days=9)
    lines(lead, belt, "mends")
    with django_assert_max_num_queries(40) as few:
        lines(lead, belt, "mends")
    for days in range(1, 30):
        make_mend(belt, PROVED + timedelta(days=days), back_after_days=9)

    with django_assert_max_num_queries(len(few)):
        assert len(lines(lead, belt, "mends")) == 30
    assert part_of(lead, belt, "mends").notes[0].startswith("The newest 24 of 30 mends")
