"""Pictures and drawings on pages and in the API: who sees, adds and changes them, and how."""

import re
from datetime import timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from plant.models import Attachment, AttachmentChange, Conveyor
from plant.roles import Role
from tests.plant.attached import a_pdf, attach_pdf, attach_picture
from tests.plant.drawn_pictures import ENGLISH_TEXT, a_jpeg, file
from tests.plant.factories import (
    make_complete_conveyor,
    make_conveyor,
    make_person,
    make_plant,
    signed_in,
)
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(code="LT"), tag="Q30")


def client_of(conveyor: Conveyor, role: Role) -> Client:
    return signed_in(make_person(role, plants=[conveyor.plant]))


def address(name: str, conveyor: Conveyor, *more: Any) -> str:
    return reverse(name, args=[conveyor.plant.code, conveyor.tag, *more])


def pdf(content: bytes | None = None, name: str = "Q30-TU-001.pdf") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content or a_pdf(), "application/pdf")


def send(client: Client, conveyor: Conveyor, *chosen: SimpleUploadedFile, **typed: Any):
    sent = {"chosen": list(chosen), "caption": "", "component": "", **typed}
    return client.post(address("attachments", conveyor), sent)


def text_of(client: Client, where: str) -> str:
    return client.get(where).content.decode()


def test_a_keeper_sends_pictures_and_drawings_of_a_component_in_one_go(conveyor):
    lead = client_of(conveyor, Role.LEAD)
    tail = conveyor.components.get(name="Tail pulley")
    named = {"component": tail.pk, "caption": "Bearing side", "photos": [file(a_jpeg(50, 50))]}

    answer = send(lead, conveyor, pdf(), file(), **named)

    assert answer.status_code == HTTPStatus.FOUND
    assert sorted(one.kind for one in Attachment.objects.all()) == ["document", *["picture"] * 2]
    assert {(one.component, one.caption) for one in Attachment.objects.all()} == {
        (tail, "Bearing side")
    }
    assert "3 files are kept." in text_of(lead, answer["Location"])


def test_a_technician_adds_pictures_but_no_drawings(conveyor):
    technician = client_of(conveyor, Role.TECHNICIAN)

    assert send(technician, conveyor, file()).status_code == HTTPStatus.FOUND
    refused = send(technician, conveyor, pdf())

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert "Drawings are kept by planners and reliability leads" in refused.content.decode()
    assert [one.kind for one in Attachment.objects.all()] == ["picture"]


def test_a_clerk_sees_them_and_adds_none(conveyor):
    clerk = client_of(conveyor, Role.CLERK)
    attach_pdf(conveyor, caption="General arrangement")

    page = text_of(clerk, address("attachments", conveyor))

    assert "General arrangement" in page
    assert 'type="file"' not in page
    assert "Take back" not in page
    assert send(clerk, conveyor, file()).status_code == HTTPStatus.FORBIDDEN


def test_what_is_refused_is_said_at_the_field_and_what_was_typed_stays(conveyor):
    answer = send(
        client_of(conveyor, Role.PLANNER),
        conveyor,
        pdf(ENGLISH_TEXT, "letter.pdf"),
        caption="The frame",
    )

    page = answer.content.decode()
    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert re.search(r'id="new_chosen_error"><li>letter.pdf: This is neither a PDF', page)
    assert 'value="The frame"' in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "Take or choose at least one file."),
        ({"photos": [file(name=f"{one}.jpg") for one in range(9)]}, "at most 8 photos at once"),
        ({"component": "999999999999", "photos": [file()]}, "Select a valid choice"),
        ({"caption": "x" * 201, "photos": [file()]}, "at most 200"),
        ({"caption": "a\x00b", "photos": [file()]}, "Null characters"),
    ],
)
def test_a_form_that_is_wrong_keeps_nothing(typed, words, conveyor):
    answer = send(client_of(conveyor, Role.PLANNER), conveyor, **typed)

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert words in answer.content.decode()
    assert not Attachment.objects.exists()


def test_a_file_that_is_there_already_is_told(conveyor):
    attach_pdf(conveyor, caption="General arrangement")
    lead = client_of(conveyor, Role.LEAD)

    page = text_of(lead, send(lead, conveyor, pdf())["Location"])

    assert "“General arrangement” is here already, it is not kept twice." in page


def test_a_drawing_is_a_download_that_no_browser_runs(conveyor):
    row = attach_pdf(conveyor, name="frame\u202e\r\n.html")

    answer = client_of(conveyor, Role.CLERK).get(address("attachment", conveyor, row.pk))

    assert b"".join(answer.streaming_content) == a_pdf()
    assert answer["Content-Disposition"] == 'attachment; filename="frame.html.pdf"'
    assert answer["Content-Type"] == "application/pdf"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer["Cache-Control"] == "private, max-age=3600"


def test_a_picture_is_shown_and_has_a_small_one(conveyor):
    row = attach_picture(conveyor, content=a_jpeg(2000, 1000))
    clerk = client_of(conveyor, Role.CLERK)

    full = clerk.get(address("attachment", conveyor, row.pk))
    small = clerk.get(address("attachment-small", conveyor, row.pk))

    assert full["Content-Type"] == small["Content-Type"] == "image/jpeg"
    assert len(b"".join(small.streaming_content)) < len(b"".join(full.streaming_content))


def test_a_file_that_the_storage_lost_is_not_there(conveyor):
    row = attach_pdf(conveyor)
    row.file.storage.delete(row.file.name)

    answer = client_of(conveyor, Role.CLERK).get(address("attachment", conveyor, row.pk))

    assert answer.status_code == HTTPStatus.NOT_FOUND


def test_a_file_is_not_there_under_another_conveyor(conveyor):
    row = attach_pdf(make_conveyor(conveyor.plant))

    answer = client_of(conveyor, Role.LEAD).get(address("attachment", conveyor, row.pk))

    assert answer.status_code == HTTPStatus.NOT_FOUND


def test_conveyor_and_component_show_what_belongs_to_them(conveyor):
    head, tail = (conveyor.components.get(name=f"{one} pulley") for one in ("Head", "Tail"))
    attach_pdf(conveyor, head, caption="Head shaft")
    attach_picture(conveyor, tail, caption="Tail from the walkway")
    clerk = client_of(conveyor, Role.CLERK)

    whole = text_of(clerk, address("conveyor", conveyor))
    of_head = text_of(clerk, address("component", conveyor, head.pk))

    assert "Head shaft" in whole
    assert "Tail from the walkway" in whole
    assert "Head shaft" in of_head
    assert "Tail from the walkway" not in of_head


def test_words_are_changed_and_left_empty_the_file_name_stands(conveyor):
    lead = client_of(conveyor, Role.LEAD)
    row = attach_pdf(conveyor, caption="Wrong words")
    where = address("attachment-caption", conveyor, row.pk)

    lead.post(where, {"caption": "", "version": "1"})

    assert ">Q30-TU-001.pdf</a>" in text_of(lead, address("attachments", conveyor))
    assert lead.post(where, {"caption": "late", "version": "1"}).status_code == HTTPStatus.CONFLICT


def test_taken_back_leaves_the_pages_and_can_be_put_back(conveyor):
    lead = client_of(conveyor, Role.LEAD)
    row = attach_pdf(conveyor, caption="Old frame")
    where = address("attachment-stands", conveyor, row.pk)

    lead.post(where, {"stands": "no"})

    everywhere = [address("conveyor", conveyor), address("attachments", conveyor)]
    assert ">Old frame</a>" not in text_of(lead, everywhere[0])
    assert ">Old frame</a>" not in text_of(lead, everywhere[1])
    gone = text_of(lead, f"{everywhere[1]}?gone=on")
    assert "Old frame" in gone
    assert "Put back" in gone
    lead.post(where, {"stands": "yes"})
    assert ">Old frame</a>" in text_of(lead, everywhere[1])


def test_a_technician_takes_back_the_own_picture_and_nobody_elses(conveyor):
    person = make_person(Role.TECHNICIAN, plants=[conveyor.plant])
    technician = signed_in(person)
    mine = attach_picture(conveyor, by=person)
    theirs = attach_picture(conveyor, content=a_jpeg(30, 30))

    for row, status in ((mine, HTTPStatus.FOUND), (theirs, HTTPStatus.FORBIDDEN)):
        where = address("attachment-stands", conveyor, row.pk)
        assert technician.post(where, {"stands": "no"}).status_code == status

    assert list(Attachment.objects.standing()) == [theirs]


def test_history_tells_their_coming_and_going(conveyor):
    lead = client_of(conveyor, Role.LEAD)
    send(lead, conveyor, pdf(), caption="General arrangement")
    row = Attachment.objects.get()

    # A test is one transaction, and what lies between in one is not told.
    AttachmentChange.objects.update(pgh_created_at=row.sent_at - timedelta(days=1))
    lead.post(address("attachment-stands", conveyor, row.pk), {"stands": "no"})

    page = text_of(lead, address("conveyor-history", conveyor) + "?of=attachment&name=general")

    assert page.count("<strong>General arrangement</strong>") == 2
    assert "was added" in page
    assert re.search(r"taken back: — → <strong class=\"figure\">20..-..-.. ..:.. UTC", page)


def test_the_list_asks_the_same_of_the_database_however_much_there_is(
    conveyor, django_assert_max_num_queries
):
    lead = client_of(conveyor, Role.LEAD)
    sender = make_person(Role.TECHNICIAN, plants=[conveyor.plant])
    for part in list(conveyor.components.all()):
        attach_pdf(conveyor, part, by=sender)
    for number in range(30):
        attach_pdf(conveyor, content=a_pdf(str(number)), by=sender)

    with django_assert_max_num_queries(16):
        page = text_of(lead, address("attachments", conveyor))

    assert "Page 1 of 2" in page


def test_another_system_lists_and_fetches_them(conveyor):
    head = conveyor.components.get(name="Head pulley")
    row = attach_pdf(conveyor, head, caption="Head shaft")
    gone = attach_picture(conveyor)
    Attachment.objects.filter(pk=gone.pk).update(taken_back_at=gone.sent_at)
    _key, secret = make_key(conveyor.plant)
    headers = {"Authorization": f"Api-Key {secret}"}

    (told,) = Client().get("/api/v1/conveyors/q30/attachments", headers=headers).json()["results"]
    answer = Client().get(told["address"], headers={**headers, "Accept": "application/pdf"})

    assert (told["id"], told["component"], told["caption"]) == (row.pk, "Head pulley", "Head shaft")
    assert told["sha256"] == row.sha256
    assert b"".join(answer.streaming_content) == a_pdf()
    assert answer["Content-Disposition"].startswith("attachment")
    missing = Client().get(f"/api/v1/conveyors/q30/attachments/{gone.pk}", headers=headers)
    assert missing.status_code == HTTPStatus.NOT_FOUND
