"""Finding a conveyor by whatever a caller calls it."""

from datetime import date

import pytest

from plant.models import Conveyor, Plant
from plant.selectors.finding_conveyors import find_conveyors
from tests.plant.factories import make_conveyor, make_plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    plant = make_plant()
    for tag, name, nicknames in (
        ("CV-12", "Quay conveyor", ["the quay belt", "long quay"]),
        ("CV-120", "Ship loader feed", ["loader belt"]),
        ("CV-2", "Grain gallery", ["gallery", "Möwenband"]),
        ("TR-1", "Tunnel reclaim", ["tunnel"]),
        ("OV-7", "Overland conveyor", []),
    ):
        make_conveyor(plant, tag=tag, name=name, nicknames=nicknames)
    return plant


def tags(words: str, limit: int = 12, **how: bool) -> list[str]:
    return [one.tag for one in find_conveyors(Plant.objects.all(), words, limit, **how)]


@pytest.mark.parametrize("words", ["CV-12", "cv-12", "CV12", "cv 12", " cv_12 ", "CV/12"])
def test_the_very_tag_stands_first_however_it_is_written(plant: Plant, words: str):
    assert tags(words)[:2] == ["CV-12", "CV-120"]


@pytest.mark.parametrize(
    ("words", "tag"),
    [
        ("quay conveyor", "CV-12"),
        ("the quay belt", "CV-12"),
        ("quay", "CV-12"),
        ("tun", "TR-1"),
        ("feed loader", "CV-120"),
        ("LOADER BELT", "CV-120"),
        ("mowenband", "CV-2"),
        ("MÖWENBAND", "CV-2"),
        ("overland", "OV-7"),
    ],
)
def test_name_and_nickname_find(plant: Plant, words: str, tag: str):
    assert tags(words)[0] == tag


@pytest.mark.parametrize(
    ("words", "tag"),
    [
        ("galery", "CV-2"),
        ("tunel", "TR-1"),
        ("the kway belt", "CV-12"),
        ("overlnad conveyer", "OV-7"),
        ("shiploader", "CV-120"),
        ("ovreland", "OV-7"),
        ("qauy", "CV-12"),
        ("qay", "CV-12"),
        ("quya belt", "CV-12"),
        ("glaery", "CV-2"),
        ("mowneband", "CV-2"),
        ("tnnuel", "TR-1"),
    ],
)
def test_typing_errors_are_forgiven(plant: Plant, words: str, tag: str):
    assert tags(words)[0] == tag


@pytest.mark.parametrize("words", ["xylophone", "", "   ", "|", "\x00", "%", "_", "ZZ-99"])
def test_what_is_like_nothing_finds_nothing(plant: Plant, words: str):
    assert tags(words) == []


@pytest.mark.parametrize("words", ["100%", "a_b", "'; drop table", "\\", "CV\x0012", "ß" * 4000])
def test_no_words_break_the_question(plant: Plant, words: str):
    assert isinstance(tags(words), list)


def test_no_more_come_than_were_asked_for(plant: Plant):
    assert len(tags("cv", limit=2)) == 2


def test_a_conveyor_of_another_plant_is_not_found(plant: Plant):
    other = make_plant()
    make_conveyor(other, tag="CV-12", name="Somebody else's quay")

    found = find_conveyors(Plant.objects.filter(pk=plant.pk), "CV-12", 12)

    assert {one.plant_id for one in found} == {plant.pk}


def test_without_a_plant_nothing_is_found(plant: Plant):
    assert find_conveyors(Plant.objects.none(), "CV-12", 12) == []


def test_a_retired_conveyor_is_found_only_when_asked_for(plant: Plant):
    Conveyor.objects.filter(tag="TR-1").update(retired_on=date(2026, 3, 1))

    assert tags("tunnel") == []
    assert tags("tunnel", also_retired=True) == ["TR-1"]


def test_a_slip_finds_only_in_the_plants_asked_for(plant: Plant):
    assert find_conveyors(Plant.objects.exclude(pk=plant.pk), "qauy", 12) == []


def test_two_questions_to_the_database_at_most(plant: Plant, django_assert_num_queries):
    with django_assert_num_queries(2):
        [str(one.plant) for one in find_conveyors(Plant.objects.all(), "qauy", 12)]


def test_one_question_to_the_database(plant: Plant, django_assert_num_queries):
    with django_assert_num_queries(1):
        [str(one.plant) for one in find_conveyors(Plant.objects.all(), "belt", 12)]
