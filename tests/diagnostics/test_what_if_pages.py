"""The What if page: asked by address, refused beside the field, kept to its plant."""

import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.template import Context, Template
from django.test import Client
from django.urls import reverse

from diagnostics.inference.vocabulary import Degree, LoadState
from diagnostics.models import Case
from diagnostics.services import diagnosing
from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    look,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_hypothesis,
    make_person,
    make_plant,
    make_walk_down,
)
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_conveyor(plant, tag="CV-7")


def address(conveyor: Conveyor) -> str:
    return reverse("what-if", args=[conveyor.plant.code, conveyor.tag])


def page(client: Client, conveyor: Conveyor, status: int = 200, **asked: str) -> str:
    response = client.get(address(conveyor), asked)
    assert response.status_code == status
    return unescape(response.content.decode())


def seen_case(conveyor: Conveyor) -> Case:
    case = make_case(conveyor)
    walk_down = make_walk_down(case)
    look(walk_down, "I10", 12.7, load=LoadState.LOADED)
    look(walk_down, "R5", 76.0, load=LoadState.EMPTY)
    return case


def test_an_empty_form_says_what_to_choose_first(clerk, conveyor):
    text = page(clerk, conveyor)

    assert "Choose a fault first." in text
    assert "Tail pulley out of square" in text
    # Nothing is asked of somebody who has not asked yet.
    assert "errorlist" not in text
    assert '<svg class="loop wide"' not in text


def test_only_faults_that_can_be_drawn_here_are_offered(clerk, conveyor):
    text = page(clerk, conveyor)

    # No take-up pulley on a screw take-up; wind has no place.
    assert 'value="tail_pulley_skewed"' in text
    assert 'value="take_up_carriage_skewed"' not in text
    assert 'value="wind_on_belt"' not in text


def test_a_fault_is_drawn_loaded_and_empty_with_its_figures(clerk, conveyor):
    text = page(clerk, conveyor, cause="tail_pulley_skewed", side="right")

    assert 'id="state-loaded"' in text
    assert 'id="state-empty"' in text
    # In each state two lines round the loop, and for a telephone one in each of two strips.
    assert text.count('class="curve"') == 8
    assert "right (shed side)" in text
    assert "Largest offset" in text
    assert "factor of two" in text
    assert "several faults at once add up" in text
    assert "not a reading and no instruction" in text


@pytest.mark.parametrize(
    ("size", "said"), [("100", "100 mm;"), ("1000", "1000 mm;"), ("12.345", "12.3 mm;")]
)
def test_a_size_is_written_as_people_write_it(clerk, conveyor, size, said):
    text = page(clerk, conveyor, cause="structure_bowed", at="30", size=size)

    assert f"<dd>{said}" in text


def test_one_load_state_may_be_asked_for(clerk, conveyor):
    text = page(clerk, conveyor, cause="tail_pulley_skewed", load="empty")

    assert 'id="state-empty"' in text
    assert 'id="state-loaded"' not in text


def test_the_stations_of_a_walk_stand_in_a_table(clerk, conveyor):
    text = page(clerk, conveyor, cause="carrying_idlers_skewed", at="I20", size="3")

    table = text[text.index("<table") : text.index("</table>")]
    for name in ("TP", "HP", "I20", "R1"):
        assert f'<th scope="row">{name}</th>' in table
    assert "centred" in table


def test_what_travels_shows_its_shape_and_its_largest_offset(clerk, conveyor):
    text = page(clerk, conveyor, cause="crooked_splice", at="30")

    assert text.count('class="curve-beside"') >= 6
    assert "wherever it passes" in text
    assert "travelling with the belt" in text


def test_what_was_seen_in_a_case_is_drawn_as_dots_beside_the_line(clerk, conveyor):
    case = seen_case(conveyor)

    text = page(clerk, conveyor, cause="tail_pulley_skewed", case=case.number)

    loaded, empty = text.split('id="state-empty"')
    # Three layouts a drawing, one look in each state; nothing is joined to a ribbon.
    assert loaded.count('class="reading"') == 3
    assert empty.count('class="reading"') == 3
    assert 'class="ribbon"' not in text
    assert "Dots: what was seen." in text
    assert "Seen loaded" in text
    assert "I10: half right" in text


def test_without_a_case_nothing_counts_as_seen(clerk, conveyor):
    seen_case(conveyor)

    text = page(clerk, conveyor, cause="tail_pulley_skewed")

    assert 'class="reading"' not in text
    assert "Seen loaded" not in text


def test_a_look_at_no_station_has_a_row_of_its_own(clerk, conveyor):
    case = make_case(conveyor)
    look(make_walk_down(case), "behind the hut", 33.3, degree=Degree.SLIGHT)

    text = page(clerk, conveyor, cause="tail_pulley_skewed", case=case.number)

    assert '<th scope="row">behind the hut</th>' in text


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"cause": "tail_pulley"}, "Nearest: "),
        ({"cause": "wind_on_belt"}, "no picture"),
        ({"cause": "take_up_carriage_skewed"}, "not possible here"),
        ({"cause": "carrying_idlers_skewed"}, "Say where"),
        ({"cause": "carrying_idlers_skewed", "at": "I99"}, "No component is called I99"),
        ({"cause": "carrying_idlers_skewed", "at": "500"}, "off the loop"),
        ({"cause": "tail_pulley_skewed", "size": "nan"}, "Must be a number above 0, not nan"),
        ({"cause": "tail_pulley_skewed", "size": "1e9"}, "at most 5 deg"),
        ({"cause": "tail_pulley_skewed", "size": "-2"}, "Must be above 0"),
        ({"cause": "tail_pulley_skewed", "side": "up"}, "left or right"),
        ({"cause": "tail_pulley_skewed", "load": "wet"}, "both, loaded, empty"),
        ({"cause": "tail_pulley_skewed", "sets": "4"}, "idler sets"),
        ({"cause": "tail_pulley_skewed", "belt_at": "4"}, "travels with the belt"),
        ({"cause": "crooked_splice", "belt_at": "900"}, "off the belt"),
        ({"cause": "tail_pulley_skewed", "case": "LT-C-9999"}, "has no case LT-C-9999"),
        ({"cause": "tail_pulley_skewed", "at": "x" * 100}, "at most 60 characters"),
        ({"cause": "tail_pulley_skewed", "at": "\x00"}, "Null characters"),
        ({"cause": "\x00"}, "Null characters"),
    ],
)
def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(clerk, conveyor, asked, said):
    text = page(clerk, conveyor, 400, **asked)

    assert said in text
    assert "errorlist" in text or 'class="error"' in text
    assert 'id="state-loaded"' not in text
    if "\x00" not in "".join(asked.values()) and "size" in asked:
        assert f'value="{asked["size"]}"' in text


def test_an_incomplete_register_says_what_is_missing(clerk, plant):
    bare = make_bare_conveyor(plant)

    text = page(clerk, bare, cause="tail_pulley_skewed")

    assert "The head pulley and the tail pulley are missing." in text
    assert "fault-form" not in text


def test_a_belt_that_is_not_registered_yet_is_drawn_with_usual_figures(clerk, conveyor):
    conveyor.belts.all().delete()

    text = page(clerk, conveyor, cause="tail_pulley_skewed")

    assert 'id="state-loaded"' in text


def test_another_plants_conveyor_is_not_there(conveyor):
    stranger = signed_in(make_person(Role.LEAD, make_plant()))

    response = stranger.get(address(conveyor), {"cause": "tail_pulley_skewed"})

    assert response.status_code == 404


def test_a_case_of_another_plant_or_conveyor_is_not_there(clerk, plant, conveyor):
    for elsewhere in (make_conveyor(), make_conveyor(plant)):
        case = seen_case(elsewhere)

        text = page(clerk, conveyor, 400, cause="tail_pulley_skewed", case=case.number)

        assert f"This conveyor has no case {case.number}." in text
        assert case.summary not in text


def test_a_stranger_is_sent_to_sign_in(conveyor):
    response = Client().get(address(conveyor))

    assert response.status_code == 302


def test_nothing_can_be_posted(clerk, conveyor):
    assert clerk.post(address(conveyor)).status_code == 405


@pytest.mark.parametrize("role", list(Role))
def test_anyone_who_may_see_the_conveyor_may_ask(role, plant, conveyor):
    text = page(signed_in(make_person(role, plant)), conveyor, cause="tail_pulley_skewed")

    assert 'id="state-loaded"' in text


def test_the_number_of_queries_does_not_grow_with_cases_and_looks(
    clerk, conveyor, django_assert_max_num_queries
):
    for _number in range(6):
        case = seen_case(conveyor)

    with django_assert_max_num_queries(24):
        page(clerk, conveyor, cause="tail_pulley_skewed", case=case.number)


def test_the_page_of_a_conveyor_leads_here(clerk, conveyor):
    text = clerk.get(reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])).content.decode()

    assert address(conveyor) in text


def linked(hypothesis, conveyor: Conveyor, case: Case | None = None) -> dict[str, list[str]]:
    template = Template('{% include "diagnostics/_what_if_link.html" %}')
    text = template.render(Context({"hypothesis": hypothesis, "conveyor": conveyor, "case": case}))
    if "href" not in text:
        return {}
    found = urlsplit(unescape(text.split('href="')[1].split('"')[0]))
    assert found.path == address(conveyor)
    return parse_qs(found.query)


def test_a_hypothesis_fills_the_question_in(clerk, conveyor):
    case = make_case(conveyor)
    hypothesis = make_hypothesis(
        case, detail={"side": "left", "size": 1.234, "belt_position_m": None}
    )

    asked = linked(hypothesis, conveyor, case)

    assert asked == {
        "cause": ["return_idler_skewed"],
        "at": ["R9"],
        "side": ["left"],
        "size": ["1.23"],
        "case": [case.number],
    }
    assert 'id="state-loaded"' in page(
        clerk, conveyor, **{name: values[0] for name, values in asked.items()}
    )


def test_a_bow_is_asked_for_by_its_middle_and_a_splice_by_its_belt_position(clerk, conveyor):
    case = make_case(conveyor)
    bow = make_hypothesis(case, cause="structure_bowed", component="I20", position_m=30.123)
    splice = make_hypothesis(
        case,
        cause="crooked_splice",
        component="S1",
        position_m=None,
        detail={"side": "right", "belt_position_m": 0.0},
    )

    assert linked(bow, conveyor)["at"] == ["30.12"]
    asked = linked(splice, conveyor)
    assert asked["belt_at"] == ["0.0"]
    assert "at" not in asked
    for one in (linked(bow, conveyor), asked):
        page(clerk, conveyor, **{name: values[0] for name, values in one.items()})


@pytest.mark.parametrize("cause", ["wind_on_belt", "no_longer_in_the_catalogue"])
def test_a_hypothesis_without_a_picture_has_no_link(cause, conveyor):
    assert linked(make_hypothesis(make_case(conveyor), cause=cause), conveyor) == {}


def test_the_suspicions_of_a_diagnosis_lead_here(technician, conveyor):
    case = seen_case(conveyor)
    diagnosis = diagnosing.diagnose_case(case_id=case.pk, now=NOW)

    response = technician.get(reverse("diagnosis", args=[case.number, diagnosis.pk]))

    text = unescape(response.content.decode())
    links = [
        f"{address(conveyor)}?{one}"
        for one in re.findall(re.escape(address(conveyor)) + r'\?([^"]+)"', text)
    ]
    assert len(links) >= 3
    assert all(f"case={case.number}" in one for one in links)
    for link in links:
        assert technician.get(link).status_code == 200, link
