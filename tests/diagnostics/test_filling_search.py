"""The search follows every change of a case's texts, whoever writes it, and loses none."""

from typing import Any

import pytest
from django.db import connection

from diagnostics import knowledge_files
from diagnostics.models import (
    Case,
    Complaint,
    FieldNote,
    SearchEntry,
    SearchOwed,
    SearchShelf,
    WalkDown,
)
from diagnostics.services import complaints, filling_search, findings
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_timed_look,
    make_walk_down,
    take,
)
from tests.diagnostics.note_rows import write

pytestmark = pytest.mark.django_db


def text_of(case: Case) -> str:
    while filling_search.fill_owed():
        pass
    entry = SearchEntry.objects.get(case=case)
    return f"{entry.title}\n{entry.says}\n{entry.more}"


def complain(case: Case, words: str, **fields: Any) -> Complaint:
    conveyor = case.conveyor
    return Complaint.objects.create(
        plant=conveyor.plant, conveyor=conveyor, case=case, words=words, received_at=NOW, **fields
    )


def test_every_text_of_a_case_is_looked_through() -> None:
    case = take(make_conveyor(), words="it drags on the heron gate").case
    assert case is not None
    walk_down = make_walk_down(case)
    look(walk_down, note="plover nest")
    findings.record_finding(
        case_id=case.pk, cause="return_idler_skewed", is_present=True, note="teal paint", by=None,
        now=NOW,
    )  # fmt: skip
    make_timed_look(case)

    text = text_of(case)

    for word in ("heron", "plover", "teal", case.number, case.conveyor.tag):
        assert word in text


def test_a_confirmed_cause_is_found_by_its_name() -> None:
    case = make_case()
    Case.objects.filter(pk=case.pk).update(cause="crooked_splice")

    assert "Splice not square" in text_of(case)


def test_who_called_and_how_to_call_back_is_not_looked_through() -> None:
    case = make_case()
    complain(case, "squeals", caller_name="Quillfeather", caller_contact="ext 4711")

    text = text_of(case)

    assert "squeals" in text
    assert "Quillfeather" not in text
    assert "4711" not in text


def test_a_withdrawn_complaint_and_a_look_taken_back_are_looked_through_no_more() -> None:
    case = make_case()
    taken = complain(case, "osprey on the frame")
    seen = look(make_walk_down(case), note="bittern")
    assert "osprey" in text_of(case)

    complaints.withdraw_complaint(
        complaint_id=taken.pk, why="wrong belt", by=None, now=later(hours=1)
    )
    type(seen).objects.filter(pk=seen.pk).update(taken_back_at=NOW)

    text = text_of(case)
    assert "osprey" not in text
    assert "bittern" not in text


def test_plain_sql_owes_the_search_too() -> None:
    case = take(make_bare_conveyor(), words="first words").case
    assert case is not None
    assert "first words" in text_of(case)

    with connection.cursor() as cursor:
        cursor.execute("UPDATE diagnostics_complaint SET words = 'later words'")

    assert SearchOwed.objects.exists()
    assert "later words" in text_of(case)


def test_a_complaint_moved_to_another_case_leaves_the_first() -> None:
    first, second = make_case(), make_case()
    taken = complain(first, "curlew at the boot")
    assert "curlew" in text_of(first)

    Complaint.objects.filter(pk=taken.pk).update(case=second, conveyor=second.conveyor)

    assert "curlew" not in text_of(first)
    assert "curlew" in text_of(second)


def test_what_changes_nothing_that_is_read_owes_nothing() -> None:
    case = make_case()
    text_of(case)

    Case.objects.filter(pk=case.pk).update(diagnosis_owed_at=NOW)

    assert not SearchOwed.objects.exists()


def test_a_case_that_is_gone_before_the_sweep_is_owed_nothing() -> None:
    SearchOwed.objects.create(case_id=987_654)

    assert filling_search.fill_owed() == 1
    assert not SearchOwed.objects.exists()


def test_an_endless_note_keeps_no_other_case_from_being_read() -> None:
    endless, other = make_case(), make_case()
    words = " ".join(f"word{number}" for number in range(200_000))
    complain(endless, "first", external_number="")
    WalkDown.objects.create(case=endless, started_at=NOW, cautions_read_at=NOW, note=words)

    assert other.number in text_of(other)
    assert "word9 " in text_of(endless)


def test_with_nothing_owed_a_sweep_costs_one_query(django_assert_num_queries: Any) -> None:
    while filling_search.fill_owed():
        pass

    with django_assert_num_queries(3):
        # One question, and the savepoint of the test round it.
        assert filling_search.fill_owed() == 0


def test_many_cases_are_read_in_a_fixed_number_of_queries(
    django_assert_max_num_queries: Any,
) -> None:
    conveyor = make_bare_conveyor()
    for _ in range(12):
        make_case(conveyor)

    with django_assert_max_num_queries(32):
        assert filling_search.fill_owed() == 12


def test_knowledge_is_filled_once_a_version() -> None:
    first = filling_search.fill_shelf(knowledge_files.library())
    entries = SearchEntry.objects.count()

    assert filling_search.fill_shelf(knowledge_files.library()) == first
    assert SearchEntry.objects.count() == entries
    knowledge = knowledge_files.current()
    assert entries == len(knowledge.causes) + len(knowledge.rules) + len(
        knowledge_files.work_methods()
    )


def test_everything_can_be_made_anew() -> None:
    case = make_case()
    before = text_of(case)
    filling_search.fill_shelf(knowledge_files.library())

    filling_search.fill_anew()

    assert not SearchEntry.objects.exists()
    assert not SearchShelf.objects.exists()
    assert text_of(case) == before


def note_text(note: FieldNote) -> str:
    return "\n".join(one.says for one in SearchEntry.objects.filter(note=note))


def test_a_note_from_the_field_is_searched_as_long_as_it_holds() -> None:
    note = write(make_bare_conveyor(), "the whimbrel bracket is slotted", cause="belt_camber")
    assert note_text(note) == "the whimbrel bracket is slotted"

    FieldNote.objects.filter(pk=note.pk).update(text="the godwit bracket is slotted")
    assert note_text(note) == "the godwit bracket is slotted"

    FieldNote.objects.filter(pk=note.pk).update(taken_back_at=NOW)
    assert note_text(note) == ""

    FieldNote.objects.filter(pk=note.pk).update(taken_back_at=None)
    assert note_text(note)
    note.delete()
    assert not SearchEntry.objects.filter(kind="note").exists()


def test_making_everything_anew_leaves_the_notes() -> None:
    note = write(make_bare_conveyor(), "the whimbrel bracket is slotted")

    filling_search.fill_anew()

    assert note_text(note)
