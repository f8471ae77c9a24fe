"""Taking a complaint: joining, opening, the races of the telephone, putting it right later."""

import pytest

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from diagnostics.services import cases, complaints
from diagnostics.services.complaints import Report
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    make_bare_conveyor,
    make_case,
    make_person,
    make_plant,
    take,
)


@pytest.mark.django_db
def test_first_complaint_on_a_conveyor_opens_a_case_with_the_plants_number():
    conveyor = make_bare_conveyor(make_plant(code="LT"))
    clerk = make_person(Role.CLERK, conveyor.plant)

    complaint = complaints.take_complaint(
        plant=conveyor.plant,
        report=Report(words="it rubs\n the frame", conveyor=conveyor, caller_name="Bo"),
        by=clerk,
        now=NOW,
    )

    assert complaint.case is not None
    assert complaint.case.number == "LT-C-0001"
    assert complaint.case.summary == "it rubs the frame"
    assert complaint.case.state == CaseState.OPEN
    assert (complaint.received_at, complaint.received_by) == (NOW, clerk)
    assert complaint.words == "it rubs\n the frame"


@pytest.mark.django_db
def test_numbers_run_on_within_a_plant_and_start_anew_in_another():
    plant = make_plant(code="LT")
    first, second = make_bare_conveyor(plant), make_bare_conveyor(plant)
    elsewhere = make_bare_conveyor(make_plant(code="LTX"))

    numbers = [take(one).case.number for one in (first, second, elsewhere)]

    assert numbers == ["LT-C-0001", "LT-C-0002", "LTX-C-0001"]


@pytest.mark.django_db
def test_repeat_joins_the_open_case():
    first = take(make_bare_conveyor())

    repeat = take(first.conveyor, join_case_id=first.case_id, now=later(hours=2))

    assert repeat.case_id == first.case_id
    assert Case.objects.count() == 1


@pytest.mark.django_db
def test_new_problem_beside_an_open_case_that_was_seen_opens_a_second_case():
    first = take(make_bare_conveyor())

    other = take(first.conveyor, seen_case_ids=frozenset({first.case_id}))

    assert other.case_id != first.case_id


@pytest.mark.django_db
def test_open_case_that_was_not_seen_is_shown_and_nothing_is_kept():
    first = take(make_bare_conveyor())

    with pytest.raises(complaints.OpenCasesUnseen, match=first.case.number):
        take(first.conveyor)

    assert Complaint.objects.count() == 1
    assert Case.objects.count() == 1


@pytest.mark.django_db
def test_ended_case_needs_not_be_seen():
    first = take(make_bare_conveyor())
    cases.move_case(
        case_id=first.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="entered twice"
    )

    again = take(first.conveyor)

    assert again.case_id != first.case_id


@pytest.mark.django_db
def test_ended_case_cannot_be_joined():
    first = take(make_bare_conveyor())
    cases.move_case(
        case_id=first.case_id, to_state=CaseState.CANCELLED, by=None, now=NOW, why="entered twice"
    )

    with pytest.raises(cases.CaseHasEnded):
        take(first.conveyor, join_case_id=first.case_id)


@pytest.mark.django_db
def test_case_of_another_conveyor_cannot_be_joined():
    plant = make_plant()
    case = make_case(make_bare_conveyor(plant))

    with pytest.raises(complaints.CaseOfAnotherConveyor):
        take(make_bare_conveyor(plant), join_case_id=case.pk)


@pytest.mark.django_db
def test_case_that_is_gone_cannot_be_joined():
    with pytest.raises(complaints.CaseOfAnotherConveyor):
        take(make_bare_conveyor(), join_case_id=987_654)


@pytest.mark.django_db
def test_conveyor_of_another_plant_is_refused():
    with pytest.raises(complaints.ConveyorOfAnotherPlant):
        take(make_bare_conveyor(), plant=make_plant())

    assert not Complaint.objects.exists()


@pytest.mark.django_db
def test_complaint_without_a_belt_waits_without_a_case():
    complaint = take(None, plant=make_plant())

    assert (complaint.conveyor, complaint.case) == (None, None)


@pytest.mark.django_db
def test_belt_named_later_opens_a_case_from_the_callers_words():
    plant = make_plant()
    complaint = take(None, plant=plant, words="some belt by the shed squeals")
    conveyor = make_bare_conveyor(plant)

    complaints.name_conveyor(
        complaint_id=complaint.pk, conveyor=conveyor, by=None, now=later(hours=1)
    )

    complaint.refresh_from_db()
    assert complaint.case.conveyor == complaint.conveyor == conveyor
    assert complaint.case.summary == "some belt by the shed squeals"


@pytest.mark.django_db
def test_belt_named_later_joins_its_open_case():
    plant = make_plant()
    complaint = take(None, plant=plant)
    case = make_case(make_bare_conveyor(plant))

    complaints.name_conveyor(
        complaint_id=complaint.pk, conveyor=case.conveyor, by=None, now=NOW, join_case_id=case.pk
    )

    complaint.refresh_from_db()
    assert complaint.case == case


@pytest.mark.django_db
def test_belt_named_later_with_an_unseen_open_case_is_refused():
    plant = make_plant()
    complaint = take(None, plant=plant)
    case = make_case(make_bare_conveyor(plant))

    with pytest.raises(complaints.OpenCasesUnseen):
        complaints.name_conveyor(
            complaint_id=complaint.pk, conveyor=case.conveyor, by=None, now=NOW
        )

    complaint.refresh_from_db()
    assert complaint.conveyor is None


@pytest.mark.django_db
def test_belt_of_another_plant_cannot_be_named():
    complaint = take(None, plant=make_plant())

    with pytest.raises(complaints.ConveyorOfAnotherPlant):
        complaints.name_conveyor(
            complaint_id=complaint.pk, conveyor=make_bare_conveyor(), by=None, now=NOW
        )


@pytest.mark.django_db
def test_complaint_moved_to_another_case_takes_over_its_conveyor():
    plant = make_plant()
    complaint = take(make_bare_conveyor(plant))
    other = make_case(make_bare_conveyor(plant))

    complaints.move_complaint(complaint_id=complaint.pk, to_case_id=other.pk, by=None, now=NOW)

    complaint.refresh_from_db()
    assert (complaint.case, complaint.conveyor) == (other, other.conveyor)


@pytest.mark.django_db
def test_complaint_cannot_move_to_a_case_of_another_plant():
    complaint = take(make_bare_conveyor())

    with pytest.raises(complaints.ConveyorOfAnotherPlant):
        complaints.move_complaint(
            complaint_id=complaint.pk, to_case_id=make_case().pk, by=None, now=NOW
        )


@pytest.mark.django_db
def test_withdrawing_asks_for_a_reason_and_can_be_taken_back():
    complaint = take(make_bare_conveyor())

    with pytest.raises(complaints.ReasonMissing):
        complaints.withdraw_complaint(complaint_id=complaint.pk, why="  ", by=None, now=NOW)
    complaints.withdraw_complaint(
        complaint_id=complaint.pk, why="caller meant the crusher", by=None, now=NOW
    )
    complaint.refresh_from_db()
    assert (complaint.withdrawn_at, complaint.withdrawn_why) == (NOW, "caller meant the crusher")

    complaints.reinstate_complaint(complaint_id=complaint.pk)

    complaint.refresh_from_db()
    assert (complaint.withdrawn_at, complaint.withdrawn_why) == (None, "")


@pytest.mark.django_db
def test_withdrawn_complaint_neither_moves_nor_gets_a_belt():
    plant = make_plant()
    complaint = take(None, plant=plant)
    complaints.withdraw_complaint(complaint_id=complaint.pk, why="a joke", by=None, now=NOW)
    case = make_case(make_bare_conveyor(plant))

    with pytest.raises(complaints.ComplaintWithdrawn):
        complaints.move_complaint(complaint_id=complaint.pk, to_case_id=case.pk, by=None, now=NOW)
    with pytest.raises(complaints.ComplaintWithdrawn):
        complaints.name_conveyor(
            complaint_id=complaint.pk, conveyor=case.conveyor, by=None, now=NOW
        )
