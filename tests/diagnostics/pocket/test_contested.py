"""Two phones on one case: what plainly differs is kept on both sides and asked about."""

import pytest

from diagnostics.inference.contested import plainly_differ
from diagnostics.models import Sighting
from diagnostics.selectors.evidence import standing_sightings
from plant.roles import Role
from tests.diagnostics.factories import make_case, make_person
from tests.diagnostics.pocket.entries import Phone, begin, entry, look, outcomes

pytestmark = pytest.mark.django_db


@pytest.fixture
def phones() -> tuple[Phone, Phone]:
    case = make_case()
    return Phone(case), Phone(case, make_person(Role.TECHNICIAN, case.conveyor.plant))


def _differ(phones: tuple[Phone, Phone]) -> tuple[dict, dict, dict]:
    """The first says half right, the second, not knowing, half left; with the second's answer."""
    first, second = phones
    walks = begin(), begin()
    theirs, mine = look(walks[0]), look(walks[1], side="left")
    first.send(walks[0], theirs)
    return theirs, mine, second.send(walks[1], mine)[1]


def _standing(phone: Phone) -> set[str]:
    return {str(one.client_id) for one in standing_sightings(phone.case)}


@pytest.mark.parametrize(
    ("one", "other", "differ"),
    [(0, 60, True), (60, -60, True), (27.5, -27.5, True), (0, 27.5, False), (60, 90, False)],
)
def test_a_degree_more_is_no_conflict_and_the_other_side_is(one, other, differ):
    assert plainly_differ(one, other, 100) is differ
    assert plainly_differ(other, one, 100) is differ


def test_a_look_that_contradicts_somebody_elses_is_kept_and_waits_for_a_choice(phones):
    theirs, _mine, result = _differ(phones)

    assert result["outcome"] == "contested"
    assert (result["theirs"]["id"], result["theirs"]["side"]) == (theirs["id"], "right")
    assert Sighting.objects.count() == 2
    assert _standing(phones[0]) == {theirs["id"]}


def test_a_contested_look_sent_again_is_told_with_the_other_one_again(phones):
    theirs, mine, _result = _differ(phones)

    (again,) = phones[1].send(mine)

    assert (again["outcome"], again["theirs"]["id"]) == ("contested", theirs["id"])


@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_a_person_chooses_which_look_counts(phones, choice):
    theirs, mine, _result = _differ(phones)
    told = {"mine": mine["id"], "theirs": theirs["id"], "counts": choice}

    results = phones[1].send(entry("choose", told), entry("choose", told))

    assert outcomes(results) == ["kept", "kept"]
    assert _standing(phones[0]) == {(mine if choice == "mine" else theirs)["id"]}
    assert not Sighting.objects.filter(differs_from__isnull=False).exists()


def test_both_looks_can_stand_side_by_side(phones):
    theirs, mine, _result = _differ(phones)

    phones[1].send(entry("choose", {"mine": mine["id"], "theirs": theirs["id"], "counts": "both"}))

    assert not Sighting.objects.filter(taken_back_at__isnull=False).exists()


def test_a_choice_about_a_look_of_nowhere_is_refused(phones):
    _theirs, mine, _result = _differ(phones)

    (result,) = phones[1].send(
        entry("choose", {"mine": mine["id"], "theirs": begin()["id"], "counts": "mine"})
    )

    assert result["code"] == "look_missing"


def test_who_knew_of_the_other_look_simply_corrects_it(phones):
    first, second = phones
    walks = begin(), begin()
    theirs = look(walks[0])
    first.send(walks[0], theirs)
    mine = look(walks[1], side="left", beside=[theirs["id"]])

    results = second.send(walks[1], mine)

    assert outcomes(results) == ["kept", "kept"]


def test_ones_own_earlier_look_is_no_conflict(phones):
    first, _second = phones
    walk = begin()

    results = first.send(walk, look(walk), look(walk, side="left"))

    assert outcomes(results) == ["kept"] * 3


def test_another_load_state_is_no_conflict(phones):
    first, second = phones
    walks = begin(), begin()
    first.send(walks[0], look(walks[0]))

    results = second.send(walks[1], look(walks[1], side="left", load="empty"))

    assert outcomes(results) == ["kept", "kept"]
