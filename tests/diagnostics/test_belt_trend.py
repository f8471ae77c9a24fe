"""A belt's page of recurring faults: what each part says, and what it takes to read it."""

import csv
import io
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.belt_trend import parts
from plant.models import Belt, Conveyor
from plant.roles import Role
from tests.diagnostics.belt_cases import OPENED, make_case, make_many, make_repeat
from tests.diagnostics.belt_pages import YEAR, address, belt, built, lead, lines, text_of
from tests.plant import factories as register
from tests.plant import roll_rows
from tests.plant.factories import signed_in

__all__ = ["belt", "lead"]

pytestmark = pytest.mark.django_db


def test_cases_near_each_other_are_one_mark_with_their_number(lead: Client, belt: Conveyor):
    for at_m in (100.0, 104.0, 108.0):
        make_case(belt, position_m=at_m)
    alone = make_case(belt, position_m=20.0)

    text = text_of(lead, belt)

    assert 'aria-label="3 cases at 104 m"' in text
    assert 'href="#place-2"' in text
    assert f'href="{reverse("case", args=[alone.number])}" class="pinned pinned-happened"' in text


def test_a_place_with_a_repeat_has_a_mark_of_its_own_shape(lead: Client, belt: Conveyor):
    make_repeat(belt, position_m=50.0)

    text = text_of(lead, belt)

    assert "1 case at 50 m, 1 of them a repeat" in text
    assert "pinned-came-back" in text
    assert "1 case has none" in text


def test_places_are_told_where_the_loop_cannot_be_drawn(lead: Client, belt: Conveyor):
    bare = register.make_conveyor(belt.plant, tag="B9")
    case = make_case(bare, position_m=12.0)

    text = text_of(lead, bare)

    assert "The loop cannot be drawn yet." in text
    assert case.number in text


def test_the_time_line_joins_a_mend_to_its_return(lead: Client, belt: Conveyor):
    earlier, again = make_repeat(belt)

    chart = built(lead, belt, "time").chart
    assert chart is not None
    layers = chart.spec["layer"]
    holds = [one for one in layers if one["mark"]["type"] == "rule"]

    # 89 whole days from 10 February to 10 May.
    assert holds[0]["data"]["values"] == [
        {"row": "Tail pulley", "day": "2026-02-10", "until": "2026-05-10"}
    ]
    told = lines(lead, belt, "time")
    assert [(one["day"], one["what"], one["held (days)"]) for one in told] == [
        ("2026-05-10", f"repeat of {earlier.number}", "89"),
        ("2026-02-10", "mend proved", ""),
        ("2026-02-01", "case", ""),
    ]
    assert told[0]["which"] == again.number


def test_what_was_made_new_stands_beneath_on_the_same_axis(lead: Client, belt: Conveyor):
    make_case(belt)
    roll_rows.change(belt, "5", changed_on=date(2026, 2, 1))
    undone = roll_rows.change(belt, "6", changed_on=date(2026, 2, 2))[0]
    type(undone).objects.filter(pk=undone.pk).update(undone_at=OPENED)

    told = [one for one in lines(lead, belt, "time") if one["what"] == "Rolls made new"]

    assert [one["day"] for one in told] == ["2026-02-01"]


def test_a_belt_made_new_is_not_on_the_row_of_the_belt_as_a_cause(lead: Client, belt: Conveyor):
    make_case(belt, cause_class="belt_section", cause="belt_cupped")
    Belt.objects.filter(conveyor=belt).update(fitted_on=date(2026, 3, 1))

    chart = built(lead, belt, "time").chart

    assert chart is not None
    assert chart.spec["encoding"]["y"]["scale"]["domain"] == ["Belt", "Belt made new"]


def test_marks_too_near_to_be_drawn_apart_become_one_with_a_number(lead: Client, belt: Conveyor):
    make_many(belt, 3)

    chart = built(lead, belt, "time").chart
    assert chart is not None
    values = [one for layer in chart.spec["layer"] for one in layer["data"]["values"]]

    assert next(one["number"] for one in values if one.get("kind") == "first") == "3"


def test_a_day_is_that_of_the_plants_zone():
    plant = register.make_plant(time_zone="America/Halifax")
    belt = register.make_complete_conveyor(plant)
    make_case(belt, datetime(2026, 6, 1, 1, 30, tzinfo=UTC))
    lead = signed_in(register.make_person(Role.LEAD, plants=[plant]))

    [told] = lines(lead, belt, "time")

    assert told["day"] == "2026-05-31"


def test_the_fault_map_has_a_number_in_each_cell_with_cases(lead: Client, belt: Conveyor):
    make_repeat(belt)
    make_case(belt, zone="head", cause_class="head_pulley")
    make_case(belt, zone="", cause_class="", cause="")

    part = built(lead, belt, "zones")
    assert part.chart is not None
    values = {
        (one["row"], one["when"]): (one["cases"], one["repeats"])
        for one in part.chart.spec["data"]["values"]
    }

    assert values == {
        ("tail", "2026-02"): (1, 0),
        ("tail", "2026-05"): (1, 1),
        ("head", "2026-05"): (1, 0),
        ("not known yet", "2026-05"): (1, 0),
    }
    assert {one["zone"]: one["all"] for one in lines(lead, belt, "zones")} == {
        "tail": "2 (1)",
        "head": "1",
        "not known yet": "1",
    }


def test_the_causes_are_ranked_with_the_share_they_reach(lead: Client, belt: Conveyor):
    make_many(belt, 3)
    make_case(belt, cause_class="loading", cause="off_centre_loading")

    told = lines(lead, belt, "families")

    assert [(one["cause family"], one["cases"]) for one in told] == [
        ("Tail pulley", "3"),
        ("Loading", "1"),
    ]
    assert [one["share with those above"].replace("\N{NO-BREAK SPACE}", " ") for one in told] == [
        "75 %",
        "100 %",
    ]


def test_a_cause_family_leads_to_itself_alone(lead: Client, belt: Conveyor):
    make_case(belt)

    text = text_of(lead, belt)

    assert "family=tail_pulley" in text
    assert "since=2026-01-01" in text


def test_choices_of_the_page_stand_in_the_addresses_of_its_files(lead: Client, belt: Conveyor):
    make_case(belt)
    make_case(belt, cause_class="loading", cause="off_centre_loading")

    chart = built(lead, belt, "families", family="loading").chart

    assert chart is not None
    assert "family=loading" in chart.file_address
    assert [one["cause family"] for one in lines(lead, belt, "families", family="loading")] == [
        "Loading"
    ]


def slugs() -> list[str]:
    return [*(part.slug for part in parts.parts()), "repeats"]


def test_every_part_has_a_file_whose_rows_fit_its_header(lead: Client, belt: Conveyor):
    make_repeat(belt, position_m=50.0)

    for slug in slugs():
        response = lead.get(address(belt, "conveyor-trend-file", slug), YEAR)
        header, *rows = csv.reader(io.StringIO(response.content.decode("utf-8-sig")))
        assert all(len(row) == len(header) for row in rows), slug
        assert len(set(header)) == len(header), slug


def test_a_belt_without_a_case_says_what_to_do_and_has_empty_files(lead: Client, belt: Conveyor):
    assert "take a complaint when the belt mistracks" in text_of(lead, belt)
    for slug in slugs():
        assert lead.get(address(belt, "conveyor-trend-file", slug), YEAR).status_code == 200


def test_a_table_that_no_part_has_is_not_there(lead: Client, belt: Conveyor):
    assert lead.get(address(belt, "conveyor-trend-file", "secrets")).status_code == 404


@pytest.mark.parametrize("wrong", [{"since": "yesterday"}, {"family": "gremlins"}])
def test_a_wrong_choice_is_named_and_the_usual_period_shown(
    lead: Client, belt: Conveyor, wrong: dict[str, Any]
):
    response = lead.get(address(belt), wrong)

    assert response.status_code == 400
    assert set(wrong) <= set(response.context["form"].errors)


def test_a_period_to_come_has_nothing_yet_and_breaks_nothing(lead: Client, belt: Conveyor):
    make_case(belt)
    asked = {"since": "2190-01-01", "until": "2199-12-31"}

    page = lead.get(address(belt), asked)
    files = [
        lead.get(address(belt, "conveyor-trend-file", one.slug), asked) for one in parts.parts()
    ]

    assert page.status_code == 200
    assert {one.status_code for one in files} == {200}


def test_five_hundred_cases_take_no_query_more_than_one(
    lead: Client, belt: Conveyor, django_assert_max_num_queries: Any
):
    make_case(belt, position_m=10.0)
    # What is asked for once in a process is asked for.
    lead.get(address(belt), YEAR)
    with django_assert_max_num_queries(60) as few:
        lead.get(address(belt), YEAR)
    make_many(belt, 500, position_m=30.0)

    with django_assert_max_num_queries(len(few)):
        text = text_of(lead, belt, since="2024-01-01")

    assert "501 cases" in text
    assert "301 more rows stand in the file." in text
    assert len(lines(lead, belt, "time", since="2024-01-01")) == 501
