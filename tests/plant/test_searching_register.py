"""Components, belts, splices and marks found by what they are called, typing errors forgiven."""

import pytest
from django.test import Client
from django.urls import reverse

from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, BeltMark, Conveyor, Plant, Splice
from plant.roles import Role
from plant.selectors.searching_register import page_of_parts
from tests.plant.factories import (
    make_complete_conveyor,
    make_component,
    make_conveyor,
    make_person,
    make_plant,
    signed_in,
)

pytestmark = pytest.mark.django_db
SEARCH = reverse("search")


@pytest.fixture
def plant() -> Plant:
    plant = make_plant()
    quay = make_complete_conveyor(plant, tag="Q30", name="Quay conveyor")
    yard = make_conveyor(plant, tag="Y1", name="Yard belt", note="Floods after a storm")
    make_component(
        quay,
        "SA-3",
        ComponentKind.SELF_ALIGNING_IDLER,
        Run.CARRYING,
        "97.5",
        note="Squeals in frost",
    )
    make_component(yard, "Head pulley", ComponentKind.HEAD_PULLEY, Run.CARRYING, "80")
    belt = Belt.objects.get(conveyor=quay)
    Splice.objects.filter(name="S2").update(note="Made by Fairlie & Sons")
    BeltMark.objects.create(belt=belt, kind="tear", belt_position_m=42, note="Stitched twice")
    return plant


@pytest.fixture
def client(plant: Plant) -> Client:
    return signed_in(make_person(Role.CLERK, plants=[plant]))


def found(plant: Plant, words: str) -> list[tuple[str, str]]:
    """Tag and name, or what it is, of what is found."""
    page = page_of_parts(Plant.objects.filter(pk=plant.pk), words, None, 50)
    return [(one.tag, one.name or one.what) for one in page.object_list]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("SA-3", ("Q30", "SA-3")),
        ("sa-3", ("Q30", "SA-3")),
        ("self-aligning", ("Q30", "SA-3")),
        ("squeals", ("Q30", "SA-3")),
        ("sqeuals frost", ("Q30", "SA-3")),
        ("y1 head pulley", ("Y1", "Head pulley")),
        ("head pulley quay", ("Q30", "Head pulley")),
        ("haed puley q30", ("Q30", "Head pulley")),
        ("taek-up", ("Q30", "Take-up")),
        ("Belt of 2024", ("Q30", "Belt of 2024")),
        ("fairlie", ("Q30", "S2")),
        ("splice s2", ("Q30", "S2")),
        ("stitched", ("Q30", "tear")),
        ("stiched", ("Q30", "tear")),
        # A set of a numbered group is found by its number.
        ("C12", ("Q30", "C")),
        ("q30 c60", ("Q30", "C")),
    ],
)
def test_the_best_comes_first(plant: Plant, words: str, first: tuple[str, str]):
    assert found(plant, words)[0] == first


@pytest.mark.parametrize(
    "words",
    ["xylophone", "", "   ", "|", "\x00", "Q30", "quay conveyor", "C61", "C0", "C" + "9" * 50],
)
def test_what_is_like_nothing_finds_nothing(plant: Plant, words: str):
    assert found(plant, words) == []


@pytest.mark.parametrize(
    "words",
    ["100%", "a_b", "'; drop table", "\\", "S\x002", "ß" * 4000, "x " * 5000, "🚜", "1" * 99],
)
def test_no_words_break_the_question(plant: Plant, words: str):
    assert isinstance(found(plant, words), list)


def test_guesses_come_only_where_nothing_holds_the_words(plant: Plant):
    assert {name for _tag, name in found(plant, "tail")} == {"Tail pulley"}


def test_parts_of_another_plant_are_not_found(plant: Plant):
    make_complete_conveyor(make_plant(), tag="Z9")

    assert {tag for tag, _name in found(plant, "pulley")} == {"Q30", "Y1"}
    assert page_of_parts(Plant.objects.none(), "pulley", None, 20).paginator.count == 0


def test_where_it_is_stands_beside_it_and_the_link_leads_there(client: Client, plant: Plant):
    text = client.get(SEARCH, {"q": "squeals"}).content.decode()
    (idler,) = Conveyor.objects.get(tag="Q30").components.filter(name="SA-3")

    assert "carrying, 97.5 m" in text
    assert reverse("component", args=[plant.code, "Q30", idler.pk]) in text
    assert "Squeals in frost" in text


def test_a_belt_that_was_taken_off_is_found_and_marked(client: Client, plant: Plant):
    Belt.objects.update(removed_on="2026-01-31")

    text = client.get(SEARCH, {"q": "belt of 2024"}).content.decode()

    assert "taken off" in text


def test_a_conveyor_is_found_by_its_note_on_the_page_only(client: Client):
    assert ">Y1<" in client.get(SEARCH, {"q": "storm floods"}).content.decode()
    while_typing = client.get(SEARCH, {"q": "storm"}, headers={"HX-Target": "found-conveyors"})
    assert "Y1" not in while_typing.content.decode()


def test_the_small_box_finds_conveyors_only(client: Client):
    response = client.get(SEARCH, {"q": "SA-3"}, headers={"HX-Target": "found-conveyors"})

    assert "SA-3" not in response.content.decode()


def test_parts_are_paged_beside_the_conveyors(client: Client, plant: Plant):
    conveyor = Conveyor.objects.get(tag="Y1")
    for number in range(25):
        make_component(
            conveyor, f"BENT {number}", ComponentKind.STRUCTURE_SECTION, Run.CARRYING, f"{number}.5"
        )

    first = client.get(SEARCH, {"q": "bent"})
    second = client.get(SEARCH, {"q": "bent", "parts": "2"})

    assert (len(first.context["parts"]), len(second.context["parts"])) == (20, 5)
    assert "q=bent&amp;parts=2#parts-heading" in first.content.decode()
    assert client.get(SEARCH, {"q": "bent", "parts": "x" * 10_000}).status_code == 200


@pytest.mark.parametrize("words", ["pulley", "puley"])
def test_it_costs_the_same_however_many_are_found(
    client: Client,
    plant: Plant,
    words: str,
    django_assert_num_queries,
    django_assert_max_num_queries,
):
    client.get(SEARCH, {"q": words})
    with django_assert_max_num_queries(14) as one:
        client.get(SEARCH, {"q": words})
    for number in range(5):
        make_complete_conveyor(plant, tag=f"X{number}")

    with django_assert_num_queries(len(one)):
        page = client.get(SEARCH, {"q": words}).context["parts"]
    assert page.paginator.count >= 6 * 5


def test_hostile_words_are_shown_as_typed(client: Client):
    text = client.get(SEARCH, {"q": "<b>x</b> pulley"}).content.decode()

    assert "<b>x" not in text
