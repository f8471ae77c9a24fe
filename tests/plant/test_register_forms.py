"""The register's forms: a bad field is named, what was typed is kept, a stale form is told."""

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Component, Conveyor, Plant
from plant.roles import Role
from plant.services import keeping_components, keeping_conveyors
from tests.plant.factories import (
    make_conveyor,
    make_plant,
)
from tests.plant.register_site import (
    COMPONENT_FORM,
    CONVEYOR_FORM,
    address,
    client_of,
    form_of,
    quay_belt,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return quay_belt(plant)


@pytest.fixture
def planner(plant: Plant) -> Client:
    return client_of(Role.PLANNER, plant)


def test_a_conveyor_is_added_and_laid_out_in_two_forms(planner, plant):
    added = planner.post(reverse("conveyor-new"), {**CONVEYOR_FORM, "plant": plant.pk})
    row = Conveyor.objects.get()
    assert added["Location"] == address(row, "conveyor-lay-out")
    asked = planner.get(added["Location"]).context["form"].initial
    assert asked == {"centre_distance_m": 80.0, "take_up": "screw"}

    figures = {
        "centre_distance_m": "80", "head_diameter_mm": "630", "tail_diameter_mm": "500",
        "load_at_m": "2.5", "skirt_m": "3", "carrying_spacing_m": "1.2",
        "return_spacing_m": "3", "impact_spacing_m": "0.5", "take_up": "gravity",
        "take_up_after_head_m": "12", "take_up_leg_m": "5", "take_up_diameter_mm": "630",
        "bend_diameter_mm": "500", "belt_width_mm": "1000",
    }  # fmt: skip
    laid = planner.post(added["Location"], figures)

    assert laid["Location"] == address(row)
    sheet = planner.get(laid["Location"])
    assert sheet.context["sheet"].state.questions == ()
    assert "TAKE-UP" in sheet.text
    row.refresh_from_db()
    assert row.nicknames == ["the yard", "lorry belt"]
    assert row.take_up_kind == "gravity"


def test_a_figure_that_does_not_fit_is_shown_at_its_field_and_kept(planner, plant):
    row = make_conveyor(plant)
    form = {
        "centre_distance_m": "20", "head_diameter_mm": "630", "tail_diameter_mm": "500",
        "load_at_m": "19", "skirt_m": "3", "carrying_spacing_m": "1.2",
        "return_spacing_m": "3", "impact_spacing_m": "0.5", "take_up": "screw",
        "take_up_after_head_m": "12", "take_up_leg_m": "5", "take_up_diameter_mm": "630",
        "bend_diameter_mm": "500",
    }  # fmt: skip

    answer = planner.post(address(row, "conveyor-lay-out"), form)

    assert answer.status_code == 409
    assert "load point" in answer.context["form"].errors["load_at_m"][0]
    assert 'value="19"' in answer.text
    assert not row.components.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("tag", ""),
        ("tag", "CV/12"),
        ("tag", "x" * 41),
        ("tag", "a\x00b"),
        ("speed_mps", "0"),
        ("speed_mps", "fast"),
        ("speed_mps", "nan"),
        ("speed_mps", "1e999"),
        ("centre_distance_m", "-5"),
        ("clearance_mm", "0"),
        ("take_up_kind", "spring"),
        ("nicknames", "n" * 61),
        ("isolation_points", "p" * 201),
        ("isolation_points", "\n".join(f"lock {number}" for number in range(21))),
        ("right_words", "Wall Side"),
        ("hour_costs", "12345678901234"),
        ("take_up_tension_kn", "inf"),
    ],
)
def test_a_bad_field_of_a_conveyor_is_named_and_what_was_typed_is_kept(
    planner, plant, field, value
):
    form = {**CONVEYOR_FORM, "plant": str(plant.pk), field: value}

    answer = planner.post(reverse("conveyor-new"), form)

    assert answer.status_code == 400
    assert set(answer.context["form"].errors) == {field}
    assert "lorry  belt" in answer.text or field == "nicknames"
    assert not Conveyor.objects.exists()


def test_a_tag_that_is_taken_is_refused_at_its_field(planner, plant, conveyor):
    form = {**CONVEYOR_FORM, "plant": plant.pk, "tag": "q30"}

    answer = planner.post(reverse("conveyor-new"), form)

    assert answer.status_code == 409
    assert "has this tag" in answer.context["form"].errors["tag"][0]
    assert Conveyor.objects.count() == 1


def test_a_changed_tag_leads_to_the_new_address(planner, conveyor):
    form = form_of(conveyor, tag="Q31")

    answer = planner.post(address(conveyor, "conveyor-edit"), form)

    assert answer["Location"] == f"/conveyors/{conveyor.plant.code}/Q31/"


def test_a_stale_form_shows_what_stands_and_keeps_what_was_typed(planner, conveyor):
    form = form_of(conveyor, speed_mps="3.25", take_up_kind="gravity")
    keeping_conveyors.edit_conveyor(
        conveyor_id=conveyor.pk, values={"speed_mps": 1.75}, version=None, by=None
    )

    refused = planner.post(address(conveyor, "conveyor-edit"), form)

    assert refused.status_code == 409
    assert "Somebody changed this" in refused.text
    shown = {one.label: (one.stands, one.typed) for one in refused.context["differences"]}
    assert shown["Belt speed [m/s]"] == ("1.75", "3.25")
    assert 'value="3.25"' in refused.text
    conveyor.refresh_from_db()
    assert conveyor.speed_mps == 1.75

    form["version"] = str(refused.context["version"])
    assert planner.post(address(conveyor, "conveyor-edit"), form).status_code == 302
    conveyor.refresh_from_db()
    assert conveyor.speed_mps == 3.25


@pytest.mark.parametrize("version", ["", "x", "-1", "9" * 30, "²"])
def test_a_form_without_a_usable_version_is_stale(planner, conveyor, version):
    form = form_of(conveyor, version=version)

    assert planner.post(address(conveyor, "conveyor-edit"), form).status_code == 409


def test_a_conveyor_is_retired_after_a_question_and_put_back(planner, conveyor):
    retire = address(conveyor, "conveyor-retire")
    assert "Retire Q30?" in planner.get(retire).text
    conveyor.refresh_from_db()
    assert conveyor.retired_on is None

    retired = planner.post(retire, follow=True)
    assert "Q30 is retired." in retired.text
    assert "Put it back into service" in retired.text
    assert "Q30" not in planner.get(reverse("conveyors")).text
    assert "Q30" in planner.get(reverse("conveyors"), {"retired": "on"}).text
    assert planner.post(retire).status_code == 409
    planner.post(address(conveyor, "conveyor-take-back"), follow=True)

    assert "Q30" in planner.get(reverse("conveyors")).text


def test_a_component_is_added_changed_and_removed_after_a_question(planner, conveyor):
    planner.post(address(conveyor, "component-new"), COMPONENT_FORM)
    row = Component.objects.get(name="D")
    change = {**COMPONENT_FORM, "length_m": "9", "version": "1"}
    planner.post(address(conveyor, "component-edit", row.pk), change)
    row.refresh_from_db()
    assert row.length_m == 9

    remove = address(conveyor, "component-remove", row.pk)
    assert "Remove D" in planner.get(remove).text
    assert Component.objects.filter(pk=row.pk).exists()
    planner.post(remove)

    assert not Component.objects.filter(pk=row.pk).exists()
    assert planner.post(remove).status_code == 404


@pytest.mark.parametrize(
    ("field", "value", "status"),
    [
        ("first_m", "500", 409),
        ("first_m", "-1", 400),
        ("first_m", "12.3456", 400),
        ("first_m", "99999999", 400),
        ("first_m", "nan", 400),
        ("kind", "magic_wheel", 400),
        ("kind", "return_idlers", 409),
        ("kind", "drive_pulley", 409),
        ("count", "0", 400),
        ("count", "20001", 400),
        ("count", "1.5", 400),
        ("name", "R3", 409),
        ("name", "", 400),
        ("wrap_deg", "400", 400),
        ("length_m", "-2", 400),
        ("fitted_on", "yesterday", 400),
    ],
)
def test_a_bad_field_of_a_component_is_refused_without_half_saving(
    planner, conveyor, field, value, status
):
    answer = planner.post(address(conveyor, "component-new"), {**COMPONENT_FORM, field: value})

    assert answer.status_code == status
    assert answer.context["form"].errors
    assert conveyor.components.count() == 11


def test_an_overlapping_group_is_refused_at_the_field_with_the_name_of_the_other(planner, conveyor):
    form = {
        "name": "X", "kind": "troughing_idlers", "run": "carrying", "first_m": "20",
        "count": "3", "spacing_m": "1", "is_numbered": "on",
    }  # fmt: skip

    answer = planner.post(address(conveyor, "component-new"), form)

    assert answer.status_code == 409
    assert answer.context["form"].errors["first_m"] == [
        "X begins at 20 m inside C, which reaches to 94.5 m. Idler groups may not overlap."
    ]


def test_a_form_for_a_component_removed_meanwhile_is_404(planner, conveyor):
    row = conveyor.components.get(name="Skirts")
    edit = address(conveyor, "component-edit", row.pk)
    keeping_components.remove_component(conveyor_id=conveyor.pk, component_id=row.pk, by=None)

    assert planner.post(edit, {**COMPONENT_FORM, "version": "1"}).status_code == 404
