"""Two periods set against each other: what is counted, and what the page says."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import Case
from diagnostics.recurrence.periods import Comparison, compare_periods
from diagnostics.selectors.trends import Period
from plant.metering.basis import Basis
from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import signed_in
from tests.workorders import factories
from tests.workorders.campaign_rows import DAY, make_campaign, make_cases
from workorders import campaign_words
from workorders.selectors import before_after as selector
from workorders.selectors.before_after import BeforeAfter, Compared, Side
from workorders.selectors.campaign_periods import Periods, periods_of

NOW = datetime(2026, 11, 2, 12, tzinfo=UTC)
BEGUN = datetime(2026, 5, 4, 4, tzinfo=UTC)
BEFORE, AFTER = BEGUN - timedelta(days=365), BEGUN + timedelta(days=5)
YEAR = Period(DAY - timedelta(days=365), DAY - timedelta(days=1))
SINCE = Period(DAY + timedelta(days=1), date(2026, 11, 1))


@pytest.fixture
def plant(db: None) -> Plant:
    return factories.make_plant(code="LT")


@pytest.fixture
def belts(plant: Plant) -> list[Conveyor]:
    """The first is bad until the campaign, the others are as they always were."""
    found = [factories.make_conveyor(plant, tag=f"Q{number}") for number in range(5)]
    make_cases(found[0], BEFORE + timedelta(days=1), 18, 20)
    make_cases(found[0], AFTER, 1, 20)
    for belt in found[1:]:
        make_cases(belt, BEFORE + timedelta(days=1), 4, 90)
        make_cases(belt, AFTER + timedelta(days=9), 2, 90)
    return found


@pytest.fixture
def lead(plant: Plant, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    return signed_in(factories.make_person(Role.LEAD, plant))


def compared(
    *tags: str, periods: Periods | None = None, basis: Any = Basis.CALENDAR
) -> BeforeAfter:
    every = Conveyor.objects.filter(plant__code="LT")
    belts = every.filter(tag__in=tags) if tags else every
    asked = periods or Periods(YEAR, SINCE)
    return selector.before_after(belts, every, Case.objects.all(), asked, basis, NOW)


def read(client: Client, name: str, *args: Any, **query: str) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200, answer.content.decode()[-2000:]
    return answer.content.decode()


def test_cases_of_each_period_are_held_against_its_days(belts: list[Conveyor]):
    found = compared("Q0")

    before, after = found.chosen.before, found.chosen.after
    assert (before.cases, before.exposure) == (18, 365)
    # The clocks went back in the second one.
    assert (after.cases, after.exposure) == (1, pytest.approx(181 + 1 / 24))
    assert float(found.chosen.ratio.ratio) == pytest.approx((1 / 181) / (18 / 365), rel=1e-3)


def test_the_other_belts_are_told_over_the_same_days(belts: list[Conveyor]):
    others = compared("Q0").others

    assert (others.before.cases, others.after.cases, others.before.belts) == (16, 8, 4)
    assert compared().others is None


def test_a_bad_belt_is_expected_to_get_better_by_itself(belts: list[Conveyor]):
    anyway = compared("Q0").anyway

    # 18 a year for 181 days would be 8.9 by its own past.
    assert 2 < anyway.expected < 8.9
    assert anyway.p_as_few < 0.1


def test_the_change_is_found_where_it_was(belts: list[Conveyor]):
    found = compared("Q0")

    assert found.change.probability > 0.9
    likeliest = found.begins_at + timedelta(days=found.change.mode)
    assert abs((likeliest - BEGUN).days) < 40


def test_only_cases_of_the_family_count_and_those_without_a_cause_are_told(belts: list[Conveyor]):
    make_cases(belts[0], AFTER, 3, 1, cause_class="", cause="", state="open")
    periods = Periods(
        Period(YEAR.first, YEAR.last, "return_idler"),
        Period(SINCE.first, SINCE.last, "return_idler"),
    )

    found = compared("Q0", periods=periods)

    assert found.chosen.after.cases == 1
    assert found.causeless == (0, 3)
    assert compared("Q0").chosen.after.cases == 4


def test_without_meters_running_hours_leave_all_out(belts: list[Conveyor]):
    found = compared("Q0", basis=Basis.RUNNING)

    assert found.chosen.ratio is None
    assert found.chosen.before.left_out == 18
    assert compared("Q0", basis=None).basis is Basis.CALENDAR


def test_a_campaign_looks_as_far_as_it_was_asked_and_no_further_than_today(plant: Plant):
    row = make_campaign(plant, ended_on=DAY + timedelta(days=2))

    found = periods_of(row, 90, date(2026, 6, 1))

    assert found.before == Period(date(2026, 2, 3), date(2026, 5, 3))
    assert found.after == Period(date(2026, 5, 7), date(2026, 6, 1))
    assert periods_of(row, 90, date(2026, 5, 6)) is None


def test_the_page_of_a_campaign_says_what_changed(
    lead: Client, plant: Plant, belts: list[Conveyor]
):
    row = make_campaign(plant, belts[0])

    page = read(lead, "campaign", row.pk)

    assert "fewer by more than chance would make it" in page
    assert "By their record alone, belts like these would have had about" in page
    assert "Beside theirs, these belts" in page
    assert "The campaign lies in that time." in page
    assert "These belts were chosen because they were bad." in page
    assert "Upright band: the campaign." in page
    assert "running hours would be where in the last 18 months" in page
    assert "Running hours are usual" not in read(lead, "campaign", row.pk, per="calendar time")
    assert "The plant's other belts" in page or "The plant&#x27;s other belts" in page
    assert "<svg" in page


def test_a_campaign_that_changed_nothing_is_not_praised(
    lead: Client, plant: Plant, belts: list[Conveyor]
):
    row = make_campaign(plant, *belts[1:], chosen="all")

    page = read(lead, "campaign", row.pk)

    assert "That may well be chance" in page
    assert "chosen because they were bad" not in page


def test_a_campaign_of_today_says_to_come_back(lead: Client, plant: Plant):
    row = make_campaign(plant, began_on=date(2026, 11, 2), ended_on=date(2026, 11, 2))

    assert "Nothing is to be compared yet" in read(lead, "campaign", row.pk)
    address = reverse("campaign-file", args=[row.pk, "figures"])
    assert lead.get(address).status_code == 404


def test_a_plant_without_cases_is_no_failure(lead: Client, plant: Plant):
    row = make_campaign(plant)
    assert "No conveyor is meant" in read(lead, "campaign", row.pk)

    factories.make_conveyor(plant)

    page = read(lead, "campaign", row.pk)
    # The register knows it since today.
    assert "nothing is known of the exposure before" in page
    assert "Without a case there is no day" in page


def said(before: int, after: int) -> str:
    sides = [Side(period, 1, count, 100.0, 0) for period, count in ((YEAR, before), (SINCE, after))]
    ratio = compare_periods(before, 100.0, after, 100.0, level=0.9)
    return campaign_words.ratio_words(Compared(sides[0], sides[1], ratio))


def test_a_ratio_that_has_no_end_is_told_by_its_least():
    assert "no case before and none after" in said(0, 0)
    # Exact lower limit of five of five: 0.05 ** (1 / 5) as a share is 0.549, as a ratio 1.22.
    assert "at least 1.22 times as often" in said(0, 5)
    # The share of none of nine reaches 1 - 0.05 ** (1 / 9) = 0.283, as a ratio 0.395.
    assert "at most 0.395 times as often" in said(9, 0)


def test_two_periods_can_be_typed(lead: Client, belts: list[Conveyor]):
    typed = {
        "before_since": str(YEAR.first),
        "before_until": str(YEAR.last),
        "after_since": str(SINCE.first),
        "after_until": str(SINCE.last),
    }

    page = read(lead, "before-after", tag="q0", **typed)

    assert "fewer by more than chance" in page
    assert "If these belts were picked for their bad record" in page
    assert "Dashed: the mean rate before and after." in page
    assert "Upright band" not in page
    assert read(lead, "before-after")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"before_since": "never"}, "Enter a valid date"),
        ({"before_since": "2026-02-01", "before_until": "2026-01-01"}, "ends before it begins"),
        ({"after_since": "2025-01-01"}, "must begin after the first ends"),
        ({"before_since": "1960-01-01"}, "within ten years"),
        ({"tag": "X9"}, "has this tag"),
        ({"area": "Moon"}, "Moon is not one"),
        ({"per": "cups"}, "cups is not one"),
    ],
)
def test_periods_that_cannot_be_are_told_by_their_field(
    lead: Client, belts: list[Conveyor], typed: Any, said: str
):
    answer = lead.get(reverse("before-after"), typed)

    assert answer.status_code == 400
    assert said in answer.content.decode()
    assert lead.get(reverse("before-after-file", args=["figures"]), typed).status_code == 404


def test_the_files_hold_both_periods_the_belts_and_the_cases(
    lead: Client, plant: Plant, belts: list[Conveyor]
):
    row = make_campaign(plant, belts[0])

    def table(name: str) -> list[list[str]]:
        text = read(lead, "campaign-file", row.pk, name).removeprefix("\ufeff")
        return list(csv.reader(io.StringIO(text)))

    header, before, after, *_others = table("figures")
    assert before[header.index("Cases")] == "18"
    assert float(after[header.index("Ratio")]) < 0.3
    assert [one[0] for one in table("belts")[1:]] == ["Q0"]
    assert len(table("cases")) == 1 + 19


def test_the_page_asks_as_often_for_many_belts_as_for_few(
    lead: Client, plant: Plant, belts: list[Conveyor], django_assert_max_num_queries: Any
):
    row = make_campaign(plant)
    for number in range(12):
        factories.make_conveyor(plant, tag=f"R{number}")

    with django_assert_max_num_queries(45):
        read(lead, "campaign", row.pk)


def test_belts_without_a_case_after_it_are_told_a_limit_and_no_factor_of_nothing():
    told = campaign_words.beside_words(
        Comparison(*(np.asarray(one) for one in (0.0, 0.0, 0.42, 0.003)))
    )

    assert told.startswith("Beside theirs, these belts' rate changed by a factor of at most 0.420.")
    assert "fewer by more than chance" in told
