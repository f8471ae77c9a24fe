"""The search on the Knowledge page, the pages of methods, past cases on the page of a cause."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import knowledge_files
from diagnostics.models import Case
from diagnostics.services import filling_search
from diagnostics.views.knowledge import CASES_A_PAGE
from plant.models import Plant
from plant.roles import Role
from tests.diagnostics.editions import entry, put_in_force
from tests.diagnostics.factories import (
    NOW,
    make_bare_conveyor,
    make_case,
    make_person,
    make_plant,
    take,
)
from tests.diagnostics.note_rows import write
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


def page(client: Client, address: str, **asked: str) -> str:
    response = client.get(address, asked)
    assert response.status_code == 200
    return response.content.decode()


def confirmed(plant: Plant, cause: str) -> Case:
    case = make_case(make_bare_conveyor(plant))
    Case.objects.filter(pk=case.pk).update(cause=cause, cause_found_at=NOW)
    return case


def test_a_search_finds_causes_methods_rules_and_cases_with_links(
    technician: Client, plant: Plant
) -> None:
    case = take(make_bare_conveyor(plant), words="the lagging squeals").case
    assert case is not None
    filling_search.fill_owed()

    text = page(technician, reverse("knowledge"), words="lagging")

    assert reverse("cause", args=["head_lagging_worn_one_side"]) in text
    assert reverse("work-method", args=["renew-lagging"]) in text
    assert re.search(r'href="/knowledge/rules/[a-z-]+/', text)
    assert reverse("case", args=[case.number]) in text
    assert re.search(r"<mark>[Ll]agging</mark>", text)


def test_the_kind_is_part_of_the_address_and_narrows(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), words="lagging", kind="method")

    assert reverse("work-method", args=["renew-lagging"]) in text
    assert reverse("cause", args=["head_lagging_worn_one_side"]) not in text
    assert "kind=cause" in text


def test_a_mended_word_is_told(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), words="camver")

    assert "“camver” is written nowhere; “camber” was looked for instead." in text


@pytest.mark.parametrize("kind", ["method", "rule", "case"])
def test_each_kind_can_be_listed_without_words(technician: Client, plant: Plant, kind: str) -> None:
    case = confirmed(plant, "belt_camber")
    filling_search.fill_owed()

    text = page(technician, reverse("knowledge"), kind=kind)

    expected = {
        "method": reverse("work-method", args=["centre-load"]),
        "rule": "/knowledge/rules/",
        "case": reverse("case", args=[case.number]),
    }
    assert expected[kind] in text


def test_no_past_cases_says_what_to_expect(technician: Client) -> None:
    assert "There is none yet." in page(technician, reverse("knowledge"), kind="case")


def test_an_unknown_kind_is_answered_in_the_form(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), kind="gearbox", words="squeal")

    assert "This cannot be looked for" in text


def test_a_search_takes_a_fixed_number_of_queries(
    technician: Client, plant: Plant, django_assert_max_num_queries: Any
) -> None:
    for _ in range(8):
        take(make_bare_conveyor(plant), words="the lagging squeals")
    filling_search.fill_owed()
    page(technician, reverse("knowledge"), words="squeals")

    with django_assert_max_num_queries(12):
        page(technician, reverse("knowledge"), words="lagging squeals")


def test_a_cause_page_leads_to_its_method_and_its_cards(technician: Client) -> None:
    text = page(technician, reverse("cause", args=["off_centre_loading"]))

    assert reverse("work-method", args=["centre-load"]) in text
    assert reverse("cause-card", args=["off_centre_loading"]) in text
    assert reverse("class-cards", args=["loading"]) in text


def test_a_cause_page_lists_the_plants_past_cases_page_by_page(
    technician: Client, plant: Plant
) -> None:
    cases = [confirmed(plant, "belt_camber") for _ in range(CASES_A_PAGE + 1)]
    elsewhere = confirmed(make_plant(), "belt_camber")
    other_cause = confirmed(plant, "crooked_splice")

    first = page(technician, reverse("cause", args=["belt_camber"]))
    second = page(technician, reverse("cause", args=["belt_camber"]), page="2")

    shown = {one.number for one in cases if one.number in first + second}
    assert shown == {one.number for one in cases}
    assert first.count('<th scope="row"><a href="/cases/') == CASES_A_PAGE
    for stranger in (elsewhere, other_cause):
        assert reverse("case", args=[stranger.number]) not in first + second


def test_a_cause_a_plant_added_says_that_its_drawing_is_borrowed(
    technician: Client, plant: Plant
) -> None:
    def add(documents: dict[str, Any]) -> None:
        known = entry(documents, "causes", "belt_camber")
        changed = {"slug": "our_own", "name": "Our own", "shows": "Seen here once a turn."}
        confirm = {**known["confirm"], "what": "Look at our own mark on the belt."}
        documents["causes.yaml"]["causes"].append({**known, **changed, "confirm": confirm})

    put_in_force(plant, add)

    own = page(technician, reverse("cause", args=["belt_camber"]))
    added = page(technician, reverse("cause", args=["our_own"]))

    assert "no drawing of its own yet" in added
    assert "no drawing of its own yet" not in own


def test_a_cause_nobody_confirmed_says_how_cases_get_there(technician: Client) -> None:
    text = page(technician, reverse("cause", args=["belt_camber"]))

    assert "Nobody has confirmed this cause at this plant yet." in text


def test_the_methods_are_listed_and_each_has_its_steps_and_causes(technician: Client) -> None:
    library = knowledge_files.library()
    listed = page(technician, reverse("work-methods")) + page(
        technician, reverse("work-methods"), page="2"
    )
    text = page(technician, reverse("work-method", args=["centre-load"]))

    assert all(reverse("work-method", args=[slug]) in listed for slug in library.work_methods)
    assert text.index("Before you go near") < text.index("Steps")
    method = library.work_methods["centre-load"]
    assert all(step.what.split("'")[0] in text for step in method.steps)
    assert reverse("cause", args=["off_centre_loading"]) in text


def test_an_unknown_method_and_another_plant_are_not_found(technician: Client) -> None:
    assert technician.get(reverse("work-method", args=["gremlins"])).status_code == 404
    address = reverse("work-method", args=["centre-load"])
    assert technician.get(address, {"plant": "ELSEWHERE"}).status_code == 404


def test_words_of_another_plants_cases_find_nothing(technician: Client) -> None:
    other = make_plant()
    take(make_bare_conveyor(other), words="a bassoon in the chute")
    filling_search.fill_owed()

    assert "bassoon in" not in page(technician, reverse("knowledge"), words="bassoon")
    theirs = signed_in(make_person(Role.CLERK, other))
    assert "<mark>bassoon</mark>" in page(theirs, reverse("knowledge"), words="bassoon")


def test_notes_from_the_field_are_found_by_their_plant_alone(
    technician: Client, plant: Plant
) -> None:
    note = write(make_bare_conveyor(plant), "the whimbrel bracket is slotted")
    theirs = write(make_bare_conveyor(make_plant()), "another whimbrel bracket")

    text = page(technician, reverse("knowledge"), words="whimbrel", kind="note")
    listed = page(technician, reverse("knowledge"), kind="note")

    for shown in (text, listed):
        assert reverse("field-note", args=[note.pk]) in shown
        assert reverse("field-note", args=[theirs.pk]) not in shown


def test_without_a_role_only_the_installed_knowledge_is_there(plant: Plant) -> None:
    cause = "return_idler_skewed"
    case = confirmed(plant, cause)
    note = write(case, "The lagging squeals in frost.", cause=cause)

    def rename(documents: dict[str, Any]) -> None:
        entry(documents, "work_methods", "renew-lagging")["name"] = "Our own lagging"

    put_in_force(plant, rename)
    filling_search.fill_owed()
    person = make_person(Role.TECHNICIAN, plant)
    person.groups.clear()
    nobody = signed_in(person)

    found = page(nobody, reverse("knowledge"), words="lagging squeals frost")
    of_cause = page(nobody, reverse("cause", args=[cause]))

    assert reverse("field-note", args=[note.pk]) not in found
    assert reverse("case", args=[case.number]) not in of_cause
    assert "Our own lagging" not in page(nobody, reverse("work-methods"))
    assert nobody.get(reverse("knowledge"), {"plant": plant.code}).status_code == 404
