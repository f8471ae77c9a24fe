"""The hit rate: which diagnosis counts, which cases, and what the page and its files say."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from http import HTTPStatus

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from diagnostics import hit_rate_pages
from diagnostics.models import Case, Diagnosis, Hypothesis, SetAside
from diagnostics.selectors import confirmed, hit_rate
from diagnostics.selectors.trends import Period
from plant.models import Conveyor
from plant.roles import Role
from tests.diagnostics import factories
from tests.diagnostics.factories import make_person
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
FOUND_AT = datetime(2026, 5, 10, 12, tzinfo=UTC)
YEAR = Period(date(2026, 1, 1), date(2026, 12, 31))
ASKED = {"since": "2026-01-01", "until": "2026-12-31"}
SPLICE, SPLICED = "crooked_splice", "belt_splice"
TAIL, TAILED = "tail_pulley_skewed", "tail_pulley"


@pytest.fixture
def belt(plant) -> Conveyor:
    return factories.make_bare_conveyor(plant, tag="Q7")


@pytest.fixture(autouse=True)
def nothing_kept():
    cache.clear()


def diagnosed(case: Case, first: str, first_class: str, made_at: datetime, share: float = 0.7):
    """A diagnosis that named one class first and another second."""
    other = TAILED if first_class == SPLICED else SPLICED
    case.diagnoses.filter(superseded_at__isnull=True).update(superseded_at=made_at)
    return Diagnosis.objects.create(
        case=case,
        made_at=made_at,
        pattern="fixed",
        is_sufficient=True,
        answer={},
        named={"classes": [[first_class, share], [other, 1 - share]], "causes": [first]},
        likelihoods={
            "log_evidence": {SPLICE: 1.0, TAIL: 0.0},
            "features": {"remarks": ["belt slips or sags"]},
        },
    )


def confirmed_case(belt: Conveyor, at: datetime = FOUND_AT, **fields) -> Case:
    case = factories.make_case(belt)
    given = {"cause": SPLICE, "cause_class": SPLICED, "state": "closed", "cause_found_at": at}
    Case.objects.filter(pk=case.pk).update(**{**given, **fields})
    case.refresh_from_db()
    return case


def right_case(belt: Conveyor, at: datetime = FOUND_AT) -> Case:
    case = confirmed_case(belt, at)
    diagnosed(case, SPLICE, SPLICED, at - timedelta(hours=1))
    return case


def judged(period: Period = YEAR):
    return hit_rate.judged_cases(Case.objects.all(), period)


def test_the_diagnosis_that_stood_when_the_cause_was_accepted_is_judged(belt):
    case = confirmed_case(belt)
    diagnosed(case, TAIL, TAILED, FOUND_AT - timedelta(days=2))
    diagnosed(case, SPLICE, SPLICED, FOUND_AT - timedelta(hours=1))
    diagnosed(case, TAIL, TAILED, FOUND_AT + timedelta(hours=1))

    (one,) = judged()

    assert (one.verdict.class_rank, one.verdict.cause_rank) == (1, 1)
    assert one.verdict.stated == 0.7


def test_a_cause_named_otherwise_is_a_miss_and_a_class_may_still_be_among_the_first(belt):
    case = confirmed_case(belt)
    diagnosed(case, TAIL, TAILED, FOUND_AT)

    (one,) = judged()

    assert (one.verdict.class_rank, one.verdict.cause_rank) == (2, None)


def test_a_cause_named_by_hand_before_any_diagnosis_counts_as_a_miss(belt):
    right_case(belt)
    diagnosed(confirmed_case(belt), SPLICE, SPLICED, FOUND_AT + timedelta(days=1))

    page = hit_rate_pages.page_of(judged(), YEAR)

    assert page.unanswered == 1
    assert (page.scores.classes.first.hits, page.scores.classes.first.of) == (1, 2)


def test_of_two_accepted_causes_the_one_named_first_is_enough(belt):
    case = right_case(belt)
    Case.objects.filter(pk=case.pk).update(cause=TAIL, cause_class=TAILED)
    Hypothesis.objects.create(
        case=case, cause=SPLICE, cause_class=SPLICED, accepted_at=FOUND_AT - timedelta(minutes=5)
    )

    assert judged()[0].verdict.class_rank == 1


def test_cases_set_aside_or_ended_otherwise_are_left_out(belt):
    aside = right_case(belt)
    SetAside.objects.create(case=aside, set_at=FOUND_AT, why="wrong")
    for fields in ({"cause": ""}, {"state": "cancelled"}, {"state": "not mistracking"}):
        confirmed_case(belt, **fields)

    assert judged() == []
    assert list(confirmed.confirmed_cases(Case.objects.all())) == []


def test_a_day_is_that_of_the_plants_zone(belt):
    # Half past one in the night in UTC is still the evening before in Halifax.
    right_case(belt, datetime(2027, 1, 1, 1, 30, tzinfo=UTC))

    assert [one.on for one in judged()] == [date(2026, 12, 31)]
    assert judged(Period(date(2027, 1, 1), date(2027, 1, 31))) == []


def test_cases_stream_with_their_evidence_for_a_trial(belt):
    case = right_case(belt)
    confirmed_case(belt)

    (one,) = confirmed.confirmed_cases(Case.objects.all())

    assert (one.key, one.truth, one.conveyor) == (case.pk, (SPLICE,), belt.pk)
    assert one.likelihoods.log_evidence == {SPLICE: 1.0, TAIL: 0.0}
    assert one.likelihoods.features == {"remarks": frozenset({"belt slips or sags"})}


def page_of(client: Client, name: str = "hit-rate", **asked) -> str:
    response = client.get(reverse(name), {**ASKED, **asked})
    assert response.status_code == HTTPStatus.OK, response.content
    return response.content.decode()


def test_everybody_of_the_plant_reads_how_often_it_was_right(belt, clerk):
    for _number in range(3):
        right_case(belt)

    text = page_of(clerk)

    assert "On 3 confirmed cases" in text
    assert "3 of 3" in text
    assert "Too few to say" in text
    # (1 - 0.7)^2 + 0.3^2
    assert "0.18" in text


def test_with_enough_cases_it_no_longer_says_too_few(belt, clerk):
    for _number in range(hit_rate_pages.LEAST_CASES):
        right_case(belt)

    text = page_of(clerk)

    assert "Too few to say" not in text
    assert "enough to say" in text


def test_without_a_case_the_page_says_what_to_do_first(plant, clerk):
    assert "Accept the cause of a case" in page_of(clerk)
    assert "choose a longer period" in page_of(clerk, since="2020-01-01", until="2020-02-01")


def test_another_plants_cases_are_not_counted_nor_its_code_taken(belt, clerk):
    elsewhere = factories.make_bare_conveyor()
    right_case(elsewhere)

    assert "On " not in page_of(clerk).split("<h1>")[1].split("<footer")[0]
    for name in ("misleading-rules", "misleading-rules-file"):
        asked = {**ASKED, "plant": elsewhere.plant.code}
        assert clerk.get(reverse(name), asked).status_code == HTTPStatus.NOT_FOUND


def test_plant_and_period_stand_in_the_address(belt):
    other = factories.make_bare_conveyor()
    reader = signed_in(make_person(Role.CLERK, belt.plant, other.plant))
    right_case(belt)
    right_case(other)

    assert "On 2 confirmed cases" in page_of(reader)
    assert "On 1 confirmed case<" in page_of(reader, plant=other.plant.code)
    bad = reader.get(reverse("hit-rate"), {"since": "soon"})
    assert bad.status_code == HTTPStatus.BAD_REQUEST
    assert 'id="id_since_error"' in bad.content.decode()


def table_of(client: Client, name: str, *args: str) -> list[list[str]]:
    response = client.get(reverse(name, args=args), ASKED)
    return list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))


@pytest.mark.parametrize(("figures", "rows"), [("scores", 6), ("classes", 1), ("months", 12),
                                               ("calibration", 1)])  # fmt: skip
def test_each_table_can_be_taken_away(belt, clerk, figures, rows):
    right_case(belt)

    header, *lines = table_of(clerk, "hit-rate-file", figures)

    assert len(lines) == rows
    assert {len(line) for line in lines} == {len(header)}
    if figures == "months":
        assert [line[1] for line in lines] == [*"00001", *"0000000"]


def test_a_table_that_is_none_is_not_there(plant, clerk):
    for figures in ("rules", "secrets"):
        address = reverse("hit-rate-file", args=[figures])
        expected = HTTPStatus.OK if figures == "rules" else HTTPStatus.NOT_FOUND
        assert clerk.get(address).status_code == expected
    assert table_of(clerk, "hit-rate-file", "scores")[1:] == []


def test_rules_are_held_against_the_plants_cases_and_again_when_a_case_changes(belt, clerk):
    assert "No confirmed case of this period" in page_of(clerk, "misleading-rules")
    right_case(belt)

    text = page_of(clerk, "misleading-rules")

    assert "On 1 confirmed case." in text
    assert "too few to say" in text
    held = {line[0]: line[1] for line in table_of(clerk, "misleading-rules-file")[1:]}
    assert set(held.values()) == {"0", "1"}


def test_pages_cost_the_same_queries_for_few_and_many_cases(
    belt, clerk, django_assert_max_num_queries
):
    right_case(belt)
    for name in ("hit-rate", "misleading-rules"):
        page_of(clerk, name)
    cache.clear()
    with django_assert_max_num_queries(40) as few:
        page_of(clerk)
        page_of(clerk, "misleading-rules")
    for _number in range(6):
        right_case(belt)

    with django_assert_max_num_queries(len(few)):
        page_of(clerk)
        page_of(clerk, "misleading-rules")
