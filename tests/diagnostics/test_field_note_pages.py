"""Notes from the field on pages: who reads, writes, changes and ends them, and on a walk-down."""

import uuid
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import Case, FieldNote
from plant.models import Plant
from plant.roles import Role
from tests.diagnostics.factories import make_case, make_walk_down
from tests.diagnostics.note_rows import write
from tests.plant.drawn_pictures import ENGLISH_TEXT, file
from tests.plant.factories import (
    make_complete_conveyor,
    make_conveyor,
    make_person,
    make_plant,
    signed_in,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def case() -> Case:
    return make_case(make_complete_conveyor(make_plant(code="LT"), tag="Q30"))


@pytest.fixture
def plant(case) -> Plant:
    return case.conveyor.plant


def client_of(plant: Plant, *roles: Role) -> Client:
    return signed_in(make_person(*roles, plants=[plant]))


def text_of(client: Client, name: str, *args: Any, query: str = "") -> str:
    return client.get(reverse(name, args=args) + query).content.decode()


def typed(**fields: Any) -> dict[str, Any]:
    return {
        "text": "Foot is slotted.",
        "cause": "",
        "conveyor": "",
        "sent_as": uuid.uuid4(),
        **fields,
    }


def send(client: Client, query: str = "", **fields: Any):
    return client.post(reverse("field-note-new") + query, typed(**fields))


def test_a_note_on_a_component_stands_on_its_page_and_on_that_of_the_conveyor(case, plant):
    technician = client_of(plant, Role.TECHNICIAN)
    tail = case.conveyor.components.get(name="Tail pulley")
    form = text_of(technician, "field-note-new", query=f"?component={tail.pk}")
    assert f'name="component" value="{tail.pk}"' in form

    sent = send(
        technician, f"?component={tail.pk}", component=tail.pk, place="Tail pulley", photos=[file()]
    )

    assert sent.status_code == HTTPStatus.FOUND
    where = [plant.code, "Q30"]
    assert "Foot is slotted." in text_of(technician, "component", *where, tail.pk)
    assert "Foot is slotted." in text_of(technician, "conveyor", *where)
    photo = FieldNote.objects.get().photos.get()
    answer = technician.get(reverse("note-photo", args=[photo.pk]))
    assert answer["Content-Type"] == "image/jpeg"


def test_a_note_on_a_cause_stands_on_its_page_at_that_plant_alone(case, plant):
    technician = client_of(plant, Role.TECHNICIAN)

    send(technician, cause="belt_camber", text="Take the string, not the eye.")

    assert "Take the string, not the eye." in text_of(technician, "cause", "belt_camber")
    stranger = client_of(make_plant(), Role.LEAD)
    assert "Take the string" not in text_of(stranger, "cause", "belt_camber")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"text": " ", "cause": "belt_camber"}, "Write what the next person should know."),
        ({}, "Say what the note is about"),
        ({"cause": "no_such_cause"}, "Select a valid choice"),
        ({"cause": "belt_camber", "text": "x" * 1001}, "at most 1000"),
        ({"cause": "belt_camber", "text": "a\x00b"}, "Null characters"),
        ({"cause": "belt_camber", "photos": [file(ENGLISH_TEXT)]}, "no picture that can be read"),
        ({"conveyor": "7" * 30}, "Select a valid choice"),
    ],
)
def test_a_form_that_is_wrong_keeps_nothing_and_what_was_typed(fields, words, case, plant):
    answer = send(client_of(plant, Role.TECHNICIAN), **fields)

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert words in answer.content.decode()
    assert not FieldNote.objects.exists()


def test_another_plants_thing_is_not_there_and_cannot_be_chosen(case, plant):
    technician = client_of(plant, Role.TECHNICIAN)
    theirs = make_complete_conveyor()
    part = theirs.components.first()

    for query in (f"?component={part.pk}", f"?conveyor={theirs.pk}", "?component=x", "?plant=XX"):
        answer = technician.get(reverse("field-note-new") + query)
        assert answer.status_code == HTTPStatus.NOT_FOUND, query
    assert send(technician, conveyor=theirs.pk).status_code == HTTPStatus.BAD_REQUEST
    assert send(technician, component=part.pk).status_code == HTTPStatus.BAD_REQUEST


def test_a_clerk_reads_and_does_not_write(case, plant):
    note = write(case, "Foot is slotted.")
    clerk = client_of(plant, Role.CLERK)

    assert "Foot is slotted." in text_of(clerk, "field-notes")
    assert "Leave a note" not in text_of(clerk, "field-notes")
    assert send(clerk, cause="belt_camber").status_code == HTTPStatus.FORBIDDEN
    for name in ("field-note-edit", "field-note-no-longer", "field-note-counts"):
        answer = clerk.post(reverse(name, args=[note.pk]), {"counts": "no"})
        assert answer.status_code == HTTPStatus.FORBIDDEN, name


def test_only_the_author_and_the_lead_change_a_note_and_the_earlier_text_is_shown(case, plant):
    author = make_person(Role.TECHNICIAN, plants=[plant])
    note = write(case, "Slotted on the left.", by=author)
    where = reverse("field-note-edit", args=[note.pk])
    said = {"text": "Slotted on the right.", "version": "1", "sent_as": uuid.uuid4()}

    other = client_of(plant, Role.TECHNICIAN).post(where, said)
    assert other.status_code == HTTPStatus.FORBIDDEN
    assert signed_in(author).post(where, said).status_code == HTTPStatus.FOUND
    late = client_of(plant, Role.LEAD).post(where, {**said, "text": "Not slotted."})

    assert late.status_code == HTTPStatus.CONFLICT
    assert "Slotted on the right." in late.content.decode()
    assert "Not slotted." in late.content.decode()
    page = text_of(signed_in(author), "field-note", note.pk)
    assert "What it said before" in page
    assert "Slotted on the left." in page


@pytest.mark.parametrize("version", ["", "x", "-1", "9" * 5000])
def test_a_change_without_its_version_counts_as_stale(version, case, plant):
    note = write(case, "Slotted.")
    said = {"text": "Other.", "version": version, "sent_as": uuid.uuid4()}

    answer = client_of(plant, Role.LEAD).post(reverse("field-note-edit", args=[note.pk]), said)

    assert answer.status_code == HTTPStatus.CONFLICT


def test_anybody_at_the_belt_says_that_a_note_is_no_longer_so(case, plant):
    note = write(case, "Skirt touches.")
    technician = client_of(plant, Role.TECHNICIAN)
    where = reverse("field-note-no-longer", args=[note.pk])

    assert technician.post(where, {"why": ""}).status_code == HTTPStatus.BAD_REQUEST
    technician.post(where, {"why": "Skirt replaced in March"})

    assert "Skirt touches." not in text_of(technician, "field-notes")
    past = text_of(technician, "field-notes", query="?past=on")
    assert "Skirt replaced in March" in past
    technician.post(reverse("field-note-holds", args=[note.pk]))
    assert "Skirt touches." in text_of(technician, "field-notes")


def test_the_author_takes_a_note_back_and_puts_it_back(case, plant):
    author = make_person(Role.TECHNICIAN, plants=[plant])
    note = write(case, "Wrong belt.", by=author)
    client = signed_in(author)
    where = reverse("field-note-counts", args=[note.pk])

    client.post(where, {"counts": "no"})
    assert "Wrong belt." not in text_of(client, "field-notes")
    client.post(where, {"counts": "yes"})
    assert "Wrong belt." in text_of(client, "field-notes")
    assert client.post(where, {}).status_code == HTTPStatus.BAD_REQUEST


def test_the_list_is_filtered_by_cause_and_conveyor_and_component(case, plant):
    write(case, "one", cause="belt_camber")
    write(case, "two", component="Tail pulley")
    write(make_conveyor(plant), "three")
    technician = client_of(plant, Role.TECHNICIAN)
    tail = case.conveyor.components.get(name="Tail pulley")

    def shown(query: str) -> list[str]:
        page = text_of(technician, "field-notes", query=query)
        return [one for one in ("one", "two", "three") if f'"note-text">{one}<' in page]

    assert shown("") == ["one", "two", "three"]
    assert shown("?cause=belt_camber") == ["one"]
    assert shown(f"?conveyor={case.conveyor.pk}") == ["one", "two"]
    assert shown(f"?component={tail.pk}") == ["two"]
    # What is no filter narrows nothing and breaks nothing.
    assert shown("?cause=x&conveyor=x&component=x&page=x") == ["one", "two", "three"]


def test_the_list_asks_the_same_of_the_database_however_long_it_is(
    case, plant, django_assert_max_num_queries
):
    for number in range(30):
        author = make_person(Role.TECHNICIAN, plants=[plant])
        write(case, f"note {number}", component="R", photos=int(number < 3), by=author)
    lead = client_of(plant, Role.LEAD)

    with django_assert_max_num_queries(18):
        page = text_of(lead, "field-notes")

    assert "Page 1 of 2" in page


def leave(client: Client, walk_down: Any, **fields: Any):
    said = {"text": "Mind the drip tray.", "station": "R5", "sent_as": uuid.uuid4(), **fields}
    return client.post(reverse("walk-down-note", args=[walk_down.pk]), said)


def test_a_note_left_at_a_station_is_read_by_the_next_one_there(case, plant):
    technician = client_of(plant, Role.TECHNICIAN)
    walk_down = make_walk_down(case)

    answer = leave(technician, walk_down, photos=[file()])

    back = technician.get(answer["Location"].split("#")[0]).content.decode()
    assert "The note is kept." in back
    assert "Mind the drip tray." in back
    note = FieldNote.objects.get()
    assert (note.component.name, note.place, note.photos.count()) == ("R", "R5", 1)
    other = make_walk_down(make_case(case.conveyor))
    assert "Mind the drip tray." in text_of(technician, "walk-down", other.pk, query="?station=R5")
    assert "Mind the drip" not in text_of(technician, "walk-down", other.pk, query="?station=C4")


def test_a_note_away_from_any_station_leads_back_to_its_place(case, plant):
    technician = client_of(plant, Role.TECHNICIAN)

    answer = leave(technician, make_walk_down(case), station="7.1 m", position="7.1")

    page = technician.get(answer["Location"].split("#")[0])
    assert page.status_code == HTTPStatus.OK
    assert "Mind the drip tray." in page.content.decode()


@pytest.mark.parametrize(
    "fields",
    [{"text": ""}, {"text": "x" * 1001}, {"sent_as": "x"}, {"cause": "x"}, {"station": "x\x00"},
     {"station": ""}, {"position": "nan"}, {"photos": [file(ENGLISH_TEXT)]}, {"station": "y" * 99}],
)  # fmt: skip
def test_a_note_that_is_wrong_leads_back_and_says_so(fields, case, plant):
    technician = client_of(plant, Role.TECHNICIAN)

    answer = leave(technician, make_walk_down(case), **fields)

    assert answer.status_code == HTTPStatus.FOUND
    page = technician.get(answer["Location"].split("#")[0])
    assert page.status_code in {HTTPStatus.OK, HTTPStatus.NOT_FOUND}
    assert 'class="error"' in page.content.decode()
    assert not FieldNote.objects.exists()


def test_the_phone_gets_the_notes_with_its_kit_and_its_news(case, plant):
    write(case, "Mind the drip tray.", component="R", place="R5")
    technician = client_of(plant, Role.TECHNICIAN)

    for what in ("pocket-kit", "pocket-news"):
        (note,) = technician.get(reverse(what, args=[case.number])).json()["notes"]
        assert note["text"] == "Mind the drip tray."
