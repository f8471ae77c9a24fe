"""The list of repeat offenders: what stands first, what each row says, what can be chosen."""

import csv
import io
from datetime import date
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from diagnostics.models import FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail
from diagnostics.selectors.trends import Period
from plant.metering.basis import Basis
from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.diagnostics import factories
from tests.diagnostics.reckoned_rows import SQUARE, failed, make_detail, make_faults, make_reckoning
from tests.plant import factories as register
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT", name="Larkwater Terminal", time_zone="America/Halifax")


@pytest.fixture
def lead(plant: Plant) -> Client:
    return signed_in(register.make_person(Role.LEAD, plants=[plant]))


@pytest.fixture
def reckoning(plant: Plant) -> FaultReckoning:
    return make_reckoning(plant)


def belt(plant: Plant, tag: str, **fields: Any) -> Conveyor:
    return register.make_conveyor(plant, tag=tag, **fields)


def listed(client: Client, **query: str) -> list[str]:
    """Tags in the order in which they stand."""
    response = client.get(reverse("repeat-offenders"), query)
    assert response.status_code == HTTPStatus.OK, response.context["form"].errors
    return [row.conveyor.tag for row in response.context.get("rows", [])]


def read(client: Client, **query: str) -> str:
    return client.get(reverse("repeat-offenders"), query).content.decode()


def test_the_word_trends_leads_to_the_repeat_offenders(lead: Client):
    page = read(lead)

    here = f'<a href="{reverse("repeat-offenders")}" aria-current="page">Trends</a>'
    assert here in page
    # Its sisters are under the same word.
    assert here in lead.get(reverse("trends")).content.decode()


@pytest.mark.parametrize(
    ("by", "order"),
    [
        ("lost", ["B", "A", "C"]),
        ("cases", ["C", "A", "B"]),
        ("worse", ["A", "B", "C"]),
        ("trend", ["C", "B", "A"]),
        # Nothing said: by lost hours.
        ("", ["B", "A", "C"]),
    ],
)
def test_belts_are_ranked_by_what_is_chosen(
    plant: Plant, reckoning: FaultReckoning, lead: Client, by: str, order: list[str]
):
    for tag, lost, cases, sure, trend in (
        ("A", 5.0, 4, 0.95, -1),
        ("B", 9.0, 3, 0.5, 0),
        # What is not known stands last, not first.
        ("C", 1.0, 8, None, 1),
    ):
        make_faults(reckoning, belt(plant, tag), lost_hours=lost, events=cases,
                    probability_worse=sure, trend=trend, leading_events=2)  # fmt: skip

    assert listed(lead, by=by) == order


def test_a_belt_leads_to_the_same_days_exposure_and_family(
    plant: Plant, lead: Client, reckoning: FaultReckoning
):
    days = {"first_on": date(2026, 1, 1), "last_on": date(2026, 6, 30)}
    narrow = make_reckoning(plant, span="", is_usual=False, family="take_up",
                            basis=Basis.RUNNING.value, **days)  # fmt: skip
    make_faults(narrow, belt(plant, "Q30"), leading_family="take_up")

    asked = {"since": "2026-01-01", "until": "2026-06-30", "family": "take_up"}
    page = lead.get(reverse("repeat-offenders"), {**asked, "per": "running hours"})
    [row] = page.context["rows"]
    form = lead.get(row.address).context["form"]

    assert f'href="{escape(row.address)}"' in page.content.decode()
    assert form.period() == Period(date(2026, 1, 1), date(2026, 6, 30), "take_up")
    assert form.basis() is Basis.RUNNING


def test_belts_without_a_case_are_only_counted(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    make_faults(reckoning, belt(plant, "A"))
    make_faults(reckoning, belt(plant, "B"), events=0, repeats=0, detail=BeltDetail())

    page = read(lead)

    assert listed(lead) == ["A"]
    assert "1 more belt had no case in the period" in page


def test_a_row_says_every_figure_and_how_it_comes_about(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    make_faults(reckoning, belt(plant, "Q30"), make_detail(**failed()), lost_hours_unsaid=1)

    page = read(lead)

    for words in (
        "14.5\N{NO-BREAK SPACE}h",
        "1 case unsaid",
        "3.10 a year",
        "1.60 to 5.20",
        "87\N{NO-BREAK SPACE}%",
        "getting worse",
        "4 of 5 known",
        "held 43 days",
        "LT-C-0008",
        "Cases in 5 equal stretches of the period, the earliest first: 0, 1, 0, 2, 3",
        "6 cases in 548 days are 4.00 a year.",
        "Chance alone makes so uneven a course with a probability of 0.02",
    ):
        assert words in page, words


def test_a_row_suggests_another_mend_of_the_catalogue_and_says_why(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    make_faults(reckoning, belt(plant, "Q30"), make_detail(**failed()))

    [row] = lead.get(reverse("repeat-offenders")).context["rows"]

    assert row.step.words.startswith("Another mend: ")
    assert (
        "(Square return idlers, then train with the fewest shifts) failed 2 times" in row.step.why
    )
    link, raising = row.step.links
    assert raising.address == f"{reverse('order-new')}?conveyor={row.conveyor.pk}"
    assert link.address.startswith("/knowledge/methods/")
    assert SQUARE not in link.address
    assert lead.get(link.address).status_code == HTTPStatus.OK
    # A rising trend with one cause asks for more, after what was mended in vain.
    assert [step.words for step in row.more_steps] == ["Inspect all of the kind: Return idlers"]


def test_a_step_links_only_where_the_person_may_go(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    make_faults(reckoning, belt(plant, "Q30"))
    clerk = signed_in(register.make_person(Role.CLERK, plants=[plant]))

    def links(client: Client) -> list[str]:
        [row] = client.get(reverse("repeat-offenders")).context["rows"]
        return [link.address for link in row.step.links]

    [parts, around] = links(lead)
    assert around == reverse("condition-round", args=["LT", "Q30"])
    assert links(clerk) == [parts]


def test_inspecting_all_of_a_kind_leads_to_all_of_them(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    conveyor = register.make_complete_conveyor(plant, tag="Q30")
    make_faults(reckoning, conveyor)
    [row] = lead.get(reverse("repeat-offenders")).context["rows"]
    [parts, _around] = row.step.links

    page = lead.get(parts.address.partition("#")[0])

    assert {one.kind for one in page.context["sheet"].parts} == {"return_idlers"}
    assert "Only these kinds are listed:" in page.content.decode()
    everything = lead.get(reverse("conveyor", args=["LT", "Q30"]), {"kind": "no such kind"})
    assert len({one.kind for one in everything.context["sheet"].parts}) > 1


def test_an_unknown_cause_leads_to_a_timed_look_of_the_open_case(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):

    conveyor = belt(plant, "Q30")
    case = factories.make_case(conveyor)
    detail = make_detail(families=(("", 6),))
    make_faults(reckoning, conveyor, detail, leading_family="", leading_events=0, trend=0)

    [row] = lead.get(reverse("repeat-offenders")).context["rows"]

    assert [link.address for link in row.step.links] == [
        reverse("timed-look-new", args=[case.number])
    ]


def test_lost_hours_unsaid_lead_to_where_they_are_noted(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):

    conveyor = belt(plant, "Q30")
    case = factories.make_case(conveyor)
    make_faults(reckoning, conveyor, trend=0, lost_hours_unsaid=4)

    [row] = lead.get(reverse("repeat-offenders")).context["rows"]

    assert row.step.words == "Note the lost hours"
    assert [link.address for link in row.step.links] == [
        reverse("case-lost-hours", args=[case.number])
    ]


def test_an_area_narrows_the_list(plant: Plant, reckoning: FaultReckoning, lead: Client):
    make_faults(reckoning, belt(plant, "A", area="Quay"))
    make_faults(reckoning, belt(plant, "B", area="Store"))

    assert listed(lead, area="Quay") == ["A"]


@pytest.mark.parametrize(
    "query",
    [
        {"by": "luck"},
        {"family": "gremlins"},
        {"span": "9 weeks"},
        {"per": "full moons"},
        {"area": "Moon"},
        {"since": "2026-01-01"},
        {"since": "2026-02-01", "until": "2026-01-01"},
        {"since": "soon", "until": "2026-01-01"},
        {"since": "1200-01-01", "until": "2026-01-01"},
        {"plant": "XX"},
    ],
)
def test_a_choice_that_is_none_is_refused_and_the_usual_shown(
    plant: Plant, reckoning: FaultReckoning, lead: Client, query: dict[str, str]
):
    make_faults(reckoning, belt(plant, "A"))

    response = lead.get(reverse("repeat-offenders"), query)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert response.context["form"].errors.keys() <= {*query, "until"}
    assert response.context["form"].errors


def test_another_plant_is_ranked_within_itself(plant: Plant, reckoning: FaultReckoning):
    other = register.make_plant(code="FQ", name="Fennel Quarry")
    make_faults(reckoning, belt(plant, "A"))
    make_faults(make_reckoning(other), belt(other, "F"))
    both = signed_in(register.make_person(Role.LEAD, plants=[plant, other]))

    assert listed(both) == ["F"]
    assert listed(both, plant="LT") == ["A"]


def test_nobody_sees_a_plant_that_is_not_theirs(plant: Plant, reckoning: FaultReckoning):
    other = register.make_plant(code="FQ", name="Fennel Quarry")
    make_faults(reckoning, belt(plant, "A"))
    stranger = signed_in(register.make_person(Role.LEAD, plants=[other]))

    response = stranger.get(reverse("repeat-offenders"), {"plant": "LT"})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert not response.context.get("rows")
    for name in ("again", "stop"):
        address = reverse(f"repeat-offenders-{name}", args=[reckoning.pk])
        assert stranger.post(address).status_code == HTTPStatus.NOT_FOUND


def test_somebody_without_a_plant_is_told_whom_to_ask():
    nobody = signed_in(register.make_person(Role.LEAD))

    assert "Ask your administrator" in read(nobody)
    assert nobody.get(reverse("repeat-offenders-file")).status_code == HTTPStatus.FOUND


def test_the_list_comes_in_pages_with_places_that_go_on(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    for number in range(23):
        make_faults(reckoning, belt(plant, f"B{number:02}"), lost_hours=100 - number)

    rows = lead.get(reverse("repeat-offenders"), {"page": "2"}).context["rows"]

    assert [(row.place, row.conveyor.tag) for row in rows] == [
        (21, "B20"),
        (22, "B21"),
        (23, "B22"),
    ]


def test_a_longer_list_takes_no_more_queries(
    plant: Plant, reckoning: FaultReckoning, lead: Client, django_assert_max_num_queries: Any
):
    def queries() -> int:
        with django_assert_max_num_queries(40) as counted:
            assert lead.get(reverse("repeat-offenders")).status_code == HTTPStatus.OK
        return len(counted)

    make_faults(reckoning, belt(plant, "A"), make_detail(**failed()))
    # What a process asks once, it has asked then.
    queries()
    few = queries()
    for number in range(25):
        make_faults(reckoning, belt(plant, f"B{number}"), make_detail(**failed()))

    assert queries() == few


def test_the_file_has_every_belt_and_leaves_unknown_figures_empty(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    make_faults(reckoning, belt(plant, "A", name="=1+1"), make_detail(**failed()))
    quiet = {"events": 0, "repeats": 0, "lost_hours": 0.0, "rate": None, "shrunk": None,
             "probability_worse": None, "leading_family": "", "leading_events": 0}  # fmt: skip
    make_faults(reckoning, belt(plant, "B"), BeltDetail(), **quiet)

    response = lead.get(reverse("repeat-offenders-file"))
    rows = list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))

    assert [row["conveyor"] for row in rows] == ["A", "B"]
    first, second = rows
    assert first["name"] == "'=1+1"
    assert (first["lost hours"], first["fair rate"], first["days held"]) == ("14.5", "3.1", "43")
    assert first["next step"].startswith("Another mend")
    assert (second["cases"], second["fair rate"], second["next step"]) == ("0", "", "")


def test_lost_hours_nobody_said_are_empty_in_the_file(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    make_faults(reckoning, belt(plant, "A"), lost_hours=0.0, lost_hours_unsaid=6)

    response = lead.get(reverse("repeat-offenders-file"))
    [row] = csv.DictReader(io.StringIO(response.content.decode("utf-8-sig")))

    assert (row["lost hours"], row["cases without lost hours said"]) == ("", "6")


def test_the_lead_sees_the_worst_three_of_each_plant_today(
    plant: Plant, reckoning: FaultReckoning, lead: Client
):
    for number in range(5):
        make_faults(reckoning, belt(plant, f"B{number}"), lost_hours=10 - number)
    make_faults(reckoning, belt(plant, "Gone", retired_on="2026-10-01"), lost_hours=99)

    page = lead.get(reverse("today")).content.decode()
    _before, _heading, rest = page.partition('id="today-offenders"')
    section = rest.partition("</section>")[0]

    named = [tag for tag in ("B0", "B1", "B2", "B3", "B4", "Gone") if f"{tag}</a>" in section]
    assert named == ["B0", "B1", "B2"]
    assert "Inspect all of the kind: Return idlers" in section
    assert f"{reverse('repeat-offenders')}?plant=LT" in section
    planner = signed_in(register.make_person(Role.PLANNER, plants=[plant]))
    assert "today-offenders" not in planner.get(reverse("today")).content.decode()


def test_with_nothing_reckoned_today_says_nothing_of_it(lead: Client, plant: Plant):
    assert "today-offenders" not in lead.get(reverse("today")).content.decode()


def test_an_order_there_is_not_is_refused_with_those_there_are(lead: Client, plant: Plant):
    make_reckoning(plant)

    response = lead.get(reverse("repeat-offenders"), {"by": "zzz"})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    said = response.content.decode()
    assert "Belts are not ranked by “zzz”" in said
    assert "one of: lost, cases, worse, trend." in said
