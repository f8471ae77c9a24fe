"""Ten thousand confirmed cases in the database: the hit rate and the rules held against them."""

import time
from datetime import date, timedelta

import pytest
from django.urls import reverse

from diagnostics import hit_rate_pages
from diagnostics.models import Case, Diagnosis
from diagnostics.selectors import hit_rate
from diagnostics.selectors.trends import Period
from plant.models import Conveyor
from plant.roles import Role
from tests.diagnostics import belts, factories
from tests.diagnostics.confirmed_cases import drawn_cases
from tests.plant.factories import signed_in

pytestmark = [pytest.mark.bench, pytest.mark.django_db]
CASES = 10_000
YEARS = Period(date(2020, 1, 1), date(2026, 12, 31))
FIRST = factories.NOW - timedelta(days=2000)


def keep(conveyors: list[Conveyor]) -> None:
    knowledge = belts.knowledge()
    drawn = drawn_cases(knowledge, CASES, conveyors=len(conveyors))
    cases = Case.objects.bulk_create(
        Case(
            conveyor=conveyors[one.conveyor],
            number=f"B-{one.key}",
            state="closed",
            summary="rubs",
            opened_at=FIRST,
            cause=one.truth[0],
            cause_class=knowledge.causes[one.truth[0]].cause_class,
            cause_found_at=FIRST + timedelta(hours=4 * one.key),
        )
        for one in drawn
    )
    classes = sorted({one.cause_class.value for one in knowledge.causes.values()})
    Diagnosis.objects.bulk_create(
        (
            Diagnosis(
                case=case,
                made_at=case.cause_found_at - timedelta(hours=1),
                pattern="fixed",
                is_sufficient=True,
                answer={},
                named={"classes": [[name, 0.1] for name in classes], "causes": list(one.truth)},
                likelihoods=one.likelihoods.as_json(),
            )
            for case, one in zip(cases, drawn, strict=True)
        ),
        batch_size=500,
    )


def test_hit_rate_and_rules_over_ten_thousand_confirmed_cases():
    plant = factories.make_plant()
    keep([factories.make_bare_conveyor(plant) for _number in range(60)])

    started = time.perf_counter()
    judged = hit_rate.judged_cases(Case.objects.all(), YEARS)
    page = hit_rate_pages.drawn(hit_rate_pages.page_of(judged, YEARS))
    hits_s, started = time.perf_counter() - started, time.perf_counter()
    record = hit_rate.rules_at(plant, YEARS)
    rules_s, started = time.perf_counter() - started, time.perf_counter()
    client = signed_in(factories.make_person(Role.LEAD, plant))
    assert client.get(reverse("learning")).status_code == 200
    learning_s = time.perf_counter() - started

    print(
        f"\n{len(judged)} cases: hit rate {hits_s:.2f} s, rules {rules_s:.2f} s (then kept), "
        f"page of what was learned {learning_s:.2f} s"
    )
    assert page.scores.cases == record.cases == CASES
