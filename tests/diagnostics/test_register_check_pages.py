"""The engineering check's page: for every role, on registers full, half full and empty."""

from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, Conveyor, Plant
from plant.roles import ROLE_PERMISSIONS, Permission, Role
from tests import page_reader
from tests.diagnostics.factories import make_bare_conveyor, make_person, make_plant
from tests.plant.factories import make_complete_conveyor, make_component, signed_in

pytestmark = pytest.mark.django_db

KEEPERS = [role for role in Role if Permission.KEEP_REGISTER in ROLE_PERMISSIONS[role]]
READERS = [role for role in Role if role not in KEEPERS]


def address(conveyor: Conveyor) -> str:
    return reverse("register-check", args=[conveyor.plant.code, conveyor.tag])


def page(client: Client, conveyor: Conveyor, status: int = 200, **asked: str) -> str:
    response = client.get(address(conveyor), asked)
    assert response.status_code == status
    text = unescape(response.content.decode())
    assert page_reader.read(text).complaints == []
    return text


@pytest.fixture
def lead(plant: Plant) -> Client:
    return signed_in(make_person(Role.LEAD, plant))


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    """All the register has a place for; the belt fits its path."""
    conveyor = make_complete_conveyor(plant, capacity_tph=400, take_up_tension_kn=12)
    conveyor.components.filter(count__gt=1).update(diameter_mm=108)
    conveyor.components.filter(name="C").update(count=63)
    Belt.objects.filter(conveyor=conveyor).update(mass_kg_m2=14)
    return conveyor


def section(text: str, heading: str) -> str:
    """From a heading to the end of its section; empty when it is not there."""
    start = text.find(f'id="{heading}"')
    return "" if start < 0 else text[start : text.index("</section>", start)]


def asks(text: str) -> str:
    return section(text, "asks-heading")


def test_the_page_says_that_it_is_no_design_calculation(clerk, conveyor):
    assert "This is no design calculation" in page(clerk, conveyor)


def test_a_register_that_fits_is_asked_nothing(clerk, conveyor):
    text = page(clerk, conveyor)

    assert "Nothing to ask: whatever could be compared fits." in asks(text)
    assert "Belt length and path" in section(text, "agreeing-heading")


def test_a_question_shows_both_figures_with_units_formula_and_source(lead, conveyor):
    Belt.objects.filter(conveyor=conveyor).update(length_m=2105)

    text = asks(page(lead, conveyor))

    assert "The belt is registered as 2105.0\N{NO-BREAK SPACE}m long" in text
    assert "at most 214.2" in text
    assert "Is the length mistyped" in text
    assert "<details>" in text
    assert "S · 0.999 ≤ L ≤ S · 1.001 + 2 · u" in text
    assert "common practice, no source" in text


def test_nothing_is_called_an_error(lead, conveyor):
    Conveyor.objects.filter(pk=conveyor.pk).update(
        speed_mps=9, trough_angle_deg=53, take_up_tension_kn=0.2, lift_m=60
    )
    Belt.objects.filter(conveyor=conveyor).update(length_m=100, width_mm=950)
    conveyor.components.filter(kind=ComponentKind.TROUGHING_IDLERS).update(spacing_m="0.15")

    text = page(lead, conveyor, pulley_rpm="20", take_up_mass_kg="900")

    assert asks(text).count('class="amber"') >= 8
    # Every one of them ends as a question.
    for part in asks(text).split('<p class="amber">')[1:]:
        assert part.split("</p>")[0].strip().endswith("?")
    for word in ("error", "invalid", "refused", "wrong", "fail"):
        assert word not in asks(text).casefold()


@pytest.mark.parametrize("role", KEEPERS)
def test_keepers_are_led_to_where_the_figure_stands(role, plant, conveyor):
    client = signed_in(make_person(role, plant))
    belt = Belt.objects.get(conveyor=conveyor)
    Belt.objects.filter(pk=belt.pk).update(length_m=100)

    text = asks(page(client, conveyor))

    way = reverse("belt-edit", args=[plant.code, conveyor.tag, belt.pk])
    assert f'href="{way}#id_length_m"' in text
    assert 'id="id_length_m"' in client.get(way).content.decode()


@pytest.mark.parametrize("role", READERS)
def test_others_see_the_questions_and_no_link_they_may_not_follow(role, plant, conveyor):
    Belt.objects.filter(conveyor=conveyor).update(length_m=100, mass_kg_m2=None)

    text = page(signed_in(make_person(role, plant)), conveyor)

    assert "Is the belt's length mistyped" in asks(text)
    assert "/edit/" not in text
    assert "Planners and reliability leads can enter it." in section(text, "unchecked-heading")


@pytest.mark.parametrize(
    ("model", "field", "reason", "way", "target"),
    [
        ("conveyor", "capacity_tph", "the capacity is not registered", "edit/", "id_capacity_tph"),
        (
            "conveyor",
            "take_up_tension_kn",
            "the take-up tension is not registered",
            "edit/",
            "id_take_up_tension_kn",
        ),
        ("belt", "mass_kg_m2", "the belt's mass is not registered", "edit/", "id_mass_kg_m2"),
    ],
)
def test_what_is_not_registered_is_said_with_the_way_to_enter_it(
    lead, conveyor, model, field, reason, way, target
):
    rows: Any = (
        Conveyor.objects.filter(pk=conveyor.pk)
        if model == "conveyor"
        else Belt.objects.filter(conveyor=conveyor)
    )
    rows.update(**{field: None})

    text = page(lead, conveyor)

    assert f"not checked, because {reason}" in section(text, "unchecked-heading")
    assert f"{way}#{target}" in section(text, "unchecked-heading")
    assert "Nothing to ask" in asks(text)


def test_rolls_of_unknown_diameter_lead_to_their_group(lead, conveyor):
    group = conveyor.components.get(name="R")
    conveyor.components.filter(pk=group.pk).update(diameter_mm=None)

    text = section(page(lead, conveyor), "unchecked-heading")

    assert "the roll diameter is not registered (R)" in text
    assert reverse("component-edit", args=[conveyor.plant.code, conveyor.tag, group.pk]) in text


def test_readings_are_compared_and_kept_in_the_address_only(clerk, conveyor):
    before = section(page(clerk, conveyor), "unchecked-heading")
    text = page(clerk, conveyor, pulley_rpm="40", take_up_mass_kg="1200")

    assert "the turns of the pulley" in before
    # 40 rpm on 630 mm is 1.32 m/s; 12 kN in each of two strands is 2446 kg.
    assert "the rim of Head pulley runs at 1.32" in asks(text)
    assert "a weight of 2446\N{NO-BREAK SPACE}kg" in asks(text)
    assert 'value="40"' in text
    assert section(page(clerk, conveyor), "unchecked-heading") == before


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("pulley_rpm", "fast", "Enter a number."),
        ("pulley_rpm", "nan", "Enter a number."),
        ("pulley_rpm", "1e400", "Enter a number."),
        ("pulley_rpm", "0", "greater than or equal to 0.1"),
        ("take_up_travel_m", "-1", "greater than or equal to 0"),
        ("take_up_mass_kg", "1e12", "less than or equal to 1000000"),
        ("take_up_mass_kg", "\x00", "Enter a number."),
    ],
)
def test_a_reading_that_cannot_be_is_refused_beside_its_field(clerk, conveyor, field, value, said):
    text = page(clerk, conveyor, 400, **{field: value})

    start = text.index(f'name="{field}"')
    assert said in text[start : text.index("</div>", start)]


def test_tension_stands_as_chart_and_table_with_the_need(clerk, conveyor):
    text = section(page(clerk, conveyor), "tension-heading")

    assert text.count("<svg") == 2
    assert "ISO 5048" in text
    # The take-up holds what is registered, loaded and empty.
    row = text[text.index(">at Take-up<") :].split("</tr>")[0]
    assert row.count(">12<") == 2
    assert "there is enough" in text


def test_a_take_up_too_light_is_told_with_what_it_would_need(clerk, conveyor):
    Conveyor.objects.filter(pk=conveyor.pk).update(take_up_tension_kn=0.5)

    text = page(clerk, conveyor)

    assert "Is the take-up tension, the capacity or the wrap mistyped?" in asks(text)
    assert 'href="#cautions"' in asks(text)
    assert "more than there is" in section(text, "tension-heading")
    assert "Thick amber bars" in text


def test_cautions_stand_on_the_page_in_full(clerk, conveyor):
    text = section(page(clerk, conveyor), "cautions")

    assert "Never stand or pass under a counterweight." in text
    assert "still under tension" in text


def test_an_empty_register_says_what_is_missing_and_asks_nothing(lead, plant):
    bare = make_bare_conveyor(plant, trough_angle_deg=35)

    text = page(lead, bare)

    assert "The head pulley and the tail pulley are missing." in text
    assert 'class="amber"' not in asks(text)
    assert section(text, "tension-heading") == ""
    unchecked = section(text, "unchecked-heading")
    assert "the loop is not complete" in unchecked
    assert reverse("belt-fit", args=[plant.code, bare.tag]) in unchecked
    assert reverse("component-new", args=[plant.code, bare.tag]) in unchecked


def test_a_register_without_a_belt_still_has_its_path_checked(lead, conveyor):
    conveyor.belts.all().delete()
    conveyor.components.filter(name="C").update(count=20)

    text = page(lead, conveyor)

    assert "Between C and Head pulley the belt runs" in asks(text)
    assert "no belt is registered" in section(text, "unchecked-heading")


def test_parts_that_make_no_loop_are_told_and_not_broken_over(lead, conveyor):
    make_component(
        conveyor,
        "Snub",
        ComponentKind.SNUB_PULLEY,
        Run.RETURN,
        "100.5",
        diameter_mm=400,
        wrap_deg=20,
    )

    text = page(lead, conveyor)

    assert "Pulleys are out of order or too close." in text


def test_names_are_shown_as_text(lead, conveyor):
    conveyor.components.filter(name="C").update(name="<b>C", spacing_m="0.2")

    response = lead.get(address(conveyor)).content.decode()

    assert "&lt;b&gt;C" in response
    assert "<b>C" not in response


def test_another_plants_conveyor_is_not_there(conveyor):
    stranger = signed_in(make_person(Role.LEAD, make_plant()))

    assert stranger.get(address(conveyor)).status_code == 404


def test_a_stranger_is_sent_to_sign_in(conveyor):
    assert Client().get(address(conveyor)).status_code == 302


def test_nothing_can_be_posted(lead, conveyor):
    assert lead.post(address(conveyor)).status_code == 405


@pytest.mark.parametrize("count", [2, 300])
def test_the_number_of_queries_does_not_grow_with_the_register(
    lead, conveyor, count, django_assert_num_queries
):
    for number in range(count):
        make_component(
            conveyor, f"X{number}", ComponentKind.STRUCTURE_SECTION, Run.CARRYING, f"{number / 10}"
        )
    page(lead, conveyor)

    with django_assert_num_queries(10):
        page(lead, conveyor)


def test_the_page_of_a_conveyor_leads_here(clerk, conveyor):
    text = clerk.get(reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])).content.decode()

    assert address(conveyor) in text
