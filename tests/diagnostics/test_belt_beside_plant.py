"""A belt beside its plant: its course, its figures, and what is said where they are wanting."""

from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.utils.html import escape

from diagnostics.belt_trend import beside_plant
from diagnostics.fault_columns import COLUMNS
from diagnostics.models import FaultReckoning
from diagnostics.services import fault_reckoning
from plant.metering.basis import Basis
from plant.models import Conveyor, ConveyorChange
from tests.diagnostics.belt_cases import make_case, make_many
from tests.diagnostics.belt_pages import belt, built, lead, lines, text_of
from tests.plant import factories as register

__all__ = ["belt", "lead"]

pytestmark = pytest.mark.django_db


def test_the_course_counts_this_belts_cases_beside_the_mean_of_all(lead: Client, belt: Conveyor):
    other = register.make_complete_conveyor(belt.plant, tag="A1")
    make_many(belt, 3)
    make_case(other)

    chart = built(lead, belt, "course").chart

    assert chart is not None
    # Four cases of two belts that were watched throughout: two each on average.
    assert "this belt has had 3 cases. The plant's average belt has had 2.00 by then" in chart.lead
    told = lines(lead, belt, "course")
    assert [one["this belt"] for one in told] == ["1", "2", "3", "3"]
    # 8 May noon is day 127.5 of the year; half a case each by then.
    assert told[0]["days since the watch began"] == "127.5"
    assert float(told[0]["plant's average belt"]) == pytest.approx(0.5)


def test_a_belt_without_a_case_is_a_level_line(lead: Client, belt: Conveyor):
    other = register.make_complete_conveyor(belt.plant, tag="A1")
    make_case(other)

    chart = built(lead, belt, "course").chart

    assert chart is not None
    assert "this belt has had 0 cases" in chart.lead


def test_one_belt_has_no_limits_and_the_page_says_why(lead: Client, belt: Conveyor):
    make_many(belt, 3)

    part = built(lead, belt, "course")

    assert any("no other to be compared with" in note for note in part.notes)
    assert {one["lower limit (90 %)"] for one in lines(lead, belt, "course")} == {""}


def test_figures_are_told_with_their_explanation(lead: Client, belt: Conveyor):
    # Cases on 1 January at noon and every day on: early in the year, so they thin out.
    for day in range(1, 5):
        make_case(belt, datetime(2026, 1, day, 12, tzinfo=UTC))

    told = {one["figure"]: one for one in lines(lead, belt, "figures")}

    assert told["Cases"]["value"] == "4"
    # The middle of the cases is 2 days in; u of four cases so early in a long span is far below 0.
    assert told["Laplace test"]["value"].startswith("u = -")
    assert "they thin out" in told["Laplace test"]["what it says"]
    # One belt has no others that it could be worse than.
    worse = next(str(column.heading) for column in COLUMNS if column.slug == "worse")
    assert told[worse]["value"] == "–"
    assert all(one["what it says"].count(".") >= 2 for one in told.values())


def test_laplace_is_that_of_the_formula(lead: Client, belt: Conveyor):
    for month, day in ((3, 1), (6, 1), (9, 1)):
        make_case(belt, datetime(2025, month, day, tzinfo=UTC))

    told = {
        one["figure"]: one["value"]
        for one in lines(lead, belt, "figures", since="2025-01-01", until="2025-12-31")
    }

    # (59 + 151 + 243 - 3 * 182.5) / (365 * sqrt(3 / 12)), NIST/SEMATECH e-Handbook 8.2.3.4.
    assert told["Laplace test"] == "u = -0.52"
    assert told["Exposure"] == "365 days"
    # 3 cases in 365 days are 3 * 365.25 / 365 a year.
    assert told["Own rate"] == "3.00 a year"


def test_too_few_cases_make_no_trend_and_say_so(lead: Client, belt: Conveyor):
    make_case(belt)

    told = {one["figure"]: one for one in lines(lead, belt, "figures")}

    assert told["Power-law shape"]["value"] == "–"
    assert "Fewer than three cases" in told["Power-law shape"]["what it says"]


def test_another_exposure_is_that_of_all_parts(lead: Client, belt: Conveyor):
    make_case(belt)

    part = built(lead, belt, "course", per="running hours")

    assert "read the meter, or choose calendar time" in part.missing
    assert "per=running+hours" in text_of(lead, belt, per="running hours")


def test_a_large_plants_figures_are_asked_for_and_stand_later(
    lead: Client, belt: Conveyor, monkeypatch: pytest.MonkeyPatch
):
    make_many(belt, 3)
    monkeypatch.setattr(beside_plant, "MOST_AT_ONCE", 2)

    assert "are being reckoned" in built(lead, belt, "figures").missing
    assert built(lead, belt, "zones").chart is not None
    fault_reckoning.do_owed()

    part = built(lead, belt, "figures")
    assert part.context["reckoned_at"] is not None
    assert next(row for row in part.rows if row[0] == "Cases")[1] == "3"
    assert built(lead, belt, "course").chart is not None


def test_a_belt_that_joined_late_is_held_against_the_same_days(lead: Client, belt: Conveyor):
    other = register.make_complete_conveyor(belt.plant, tag="A1")
    for one, entered in ((other, "2025-01-01"), (belt, "2026-04-11")):
        at = datetime.fromisoformat(f"{entered}T00:00:00+00:00")
        ConveyorChange.objects.filter(pgh_obj_id=one.pk).update(pgh_created_at=at)
    make_case(other, datetime(2026, 2, 1, 12, tzinfo=UTC))
    make_case(other)
    make_case(belt)

    chart = built(lead, belt, "course", until="2026-05-30", per="calendar time").chart

    assert chart is not None
    # 11 April to 30 May; of the two cases of the other one came in that time, beside its own.
    assert chart.lead == (
        "In 50 days this belt has had 1 case. The plant's average belt has had 1.00 in the same "
        "days."
    )


def test_all_belts_are_led_to_on_the_same_days_exposure_and_family(lead: Client, belt: Conveyor):
    make_case(belt)

    leads = built(lead, belt, "figures", family="tail_pulley", per="calendar time").context
    asked = lead.get(leads["offenders"]).context["form"].wanted()

    assert f'href="{escape(leads["offenders"])}"' in text_of(
        lead, belt, family="tail_pulley", per="calendar time"
    )
    assert asked.days == (date(2026, 1, 1), date(2026, 12, 31))
    assert (asked.family, asked.basis) == ("tail_pulley", Basis.CALENDAR)


def test_the_usual_days_lead_to_the_usual_period_of_all_belts(lead: Client, belt: Conveyor):
    make_case(belt)

    leads = built(lead, belt, "figures", since="", until="").context
    asked = lead.get(leads["offenders"]).context["form"].wanted()

    assert asked.span == FaultReckoning.Span.USUAL.value
