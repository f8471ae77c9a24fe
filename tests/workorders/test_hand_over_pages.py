"""One shift writes, the next takes over; both see what wants attention."""

from datetime import timedelta
from html import unescape

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Plant
from workorders.models import HandOverNote, ReminderWish, WorkOrder

pytestmark = pytest.mark.django_db


def _said(answer: HttpResponse) -> str:
    return unescape(answer.content.decode())


def _write(client: Client, plant: Plant, words: str = "Q30 locked at MCC-4.") -> HandOverNote:
    client.post(reverse("hand-over-write", args=[plant.code]), {"words": words})
    return HandOverNote.objects.latest("pk")


def test_the_next_shift_reads_the_note_and_takes_over(
    plant: Plant, technician: Client, planner: Client
):
    note = _write(technician, plant)
    page = planner.get(reverse("hand-over"))
    assert "Q30 locked at MCC-4." in _said(page)

    planner.post(reverse("hand-over-note", args=[note.pk]))

    note.refresh_from_db()
    assert note.taken_over_by is not None
    assert note.taken_over_by != note.written_by


def test_a_note_is_taken_back_and_put_back_by_its_writer_only(
    plant: Plant, technician: Client, planner: Client
):
    note = _write(technician, plant)
    back = reverse("hand-over-note-back", args=[note.pk])

    assert planner.post(back).status_code == 409
    technician.post(back)
    assert "Q30 locked" not in _said(planner.get(reverse("hand-over")))
    technician.post(back, {"put_back": "1"})

    assert "Q30 locked" in _said(planner.get(reverse("hand-over")))


def test_a_note_that_was_read_stays(plant: Plant, technician: Client, planner: Client):
    note = _write(technician, plant)
    planner.post(reverse("hand-over-note", args=[note.pk]))

    answer = technician.post(reverse("hand-over-note-back", args=[note.pk]))

    assert answer.status_code == 409
    assert "The next shift has read it" in _said(answer)


def test_a_note_that_is_sent_twice_stands_once(plant: Plant, technician: Client, planner: Client):
    first, second = _write(technician, plant), _write(technician, plant)
    other = _write(planner, plant)

    assert first == second != other


def test_an_empty_note_is_refused(plant: Plant, technician: Client):
    answer = technician.post(reverse("hand-over-write", args=[plant.code]), {"words": "  "})

    assert answer.status_code == 400
    assert not HandOverNote.objects.exists()


def test_the_page_names_what_is_overdue(plant: Plant, order: WorkOrder, planner: Client):
    yesterday = timezone.localdate() - timedelta(days=2)
    WorkOrder.objects.filter(pk=order.pk).update(due_on=yesterday)

    said = _said(planner.get(reverse("hand-over-of", args=[plant.code])))

    assert "Overdue" in said
    assert order.number in said


def test_the_page_asks_the_same_number_of_questions_however_much_is_overdue(
    plant: Plant, order: WorkOrder, planner: Client, django_assert_max_num_queries
):
    WorkOrder.objects.update(due_on=timezone.localdate() - timedelta(days=2))
    for number in range(20):
        order.pk, order.number = None, f"LT-W-9{number:03d}"
        order.hypothesis = None
        order.save()

    with django_assert_max_num_queries(20):
        planner.get(reverse("hand-over-of", args=[plant.code]))


def test_a_person_chooses_what_to_be_reminded_of(plant: Plant, technician: Client):
    address = reverse("reminders", args=[plant.code])
    assert "checked" in technician.get(address).content.decode()

    technician.post(address, {"kinds": ["overdue"], "at": "05:30"})

    kept = ReminderWish.objects.get()
    assert (kept.kinds, kept.at.isoformat("minutes")) == (["overdue"], "05:30")
    assert technician.post(address, {"kinds": ["weather"], "at": "x"}).status_code == 400
