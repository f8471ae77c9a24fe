"""Moves of a case: every legal one, every illegal one, ends and what they ask for."""

import pytest

from diagnostics import signals
from diagnostics.case_states import MOVES, OPEN_STATES, CaseState
from diagnostics.models import Case
from diagnostics.services import cases
from plant.errors import DomainError
from plant.roles import Role
from tests.diagnostics.factories import NOW, later, make_bare_conveyor, make_case, make_person

_LEGAL = [(old, new) for old in CaseState for new in sorted(MOVES[old])]
_ILLEGAL = [
    (old, new) for old in CaseState for new in CaseState if new not in MOVES[old] and new is not old
]
_ENDS_WITHOUT_WORK = [CaseState.NOT_MISTRACKING, CaseState.CANCELLED]


def case_in(state):
    case = make_case(make_bare_conveyor())
    Case.objects.filter(pk=case.pk).update(state=state.value)
    return case


@pytest.mark.django_db
@pytest.mark.parametrize(("old", "new"), _LEGAL)
def test_legal_move_is_made_and_logged(old, new):
    case = case_in(old)
    technician = make_person(Role.TECHNICIAN, case.conveyor.plant)

    cases.move_case(
        case_id=case.pk, to_state=new, by=technician, now=later(hours=1), why="seen again"
    )

    case.refresh_from_db()
    assert case.state == new
    move = case.moves.last()
    assert (move.from_state, move.to_state) == (old, new)
    assert (move.by, move.at, move.why) == (technician, later(hours=1), "seen again")


@pytest.mark.django_db
@pytest.mark.parametrize(("old", "new"), _ILLEGAL)
def test_illegal_move_is_refused_and_leaves_no_trace(old, new):
    case = case_in(old)

    with pytest.raises(cases.IllegalCaseMove) as refusal:
        cases.move_case(case_id=case.pk, to_state=new, by=None, now=NOW, why="because")

    assert refusal.value.code == "illegal_case_move"
    case.refresh_from_db()
    assert case.state == old
    assert case.moves.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize("end", _ENDS_WITHOUT_WORK)
def test_ending_without_work_asks_for_a_reason(end):
    case = case_in(CaseState.OPEN)

    with pytest.raises(cases.EndNeedsReason):
        cases.move_case(case_id=case.pk, to_state=end, by=None, now=NOW, why="   ")

    case.refresh_from_db()
    assert case.state == CaseState.OPEN


@pytest.mark.django_db
@pytest.mark.parametrize("end", _ENDS_WITHOUT_WORK)
def test_end_is_dated_and_opening_again_takes_the_date_away(end):
    case = case_in(CaseState.OPEN)

    cases.move_case(
        case_id=case.pk, to_state=end, by=None, now=later(hours=3), why="a camera fault"
    )
    case.refresh_from_db()
    assert case.ended_at == later(hours=3)
    assert case.proved_at is None

    back = next(iter(MOVES[end]))
    cases.move_case(case_id=case.pk, to_state=back, by=None, now=later(hours=4), why="it was right")
    case.refresh_from_db()
    assert case.ended_at is None
    assert case.is_open


@pytest.mark.django_db
def test_closing_dates_end_and_proof():
    case = case_in(CaseState.ON_PROOF)

    cases.move_case(case_id=case.pk, to_state=CaseState.CLOSED, by=None, now=later(days=1))

    case.refresh_from_db()
    assert case.ended_at == case.proved_at == later(days=1)


@pytest.mark.django_db
def test_room_above_hears_of_an_end_and_its_refusal_undoes_it():
    case = case_in(CaseState.LOOKED_AT)

    class StillAtWork(DomainError):
        code = "still_at_work"

    def refuse(**_said):
        raise StillAtWork

    signals.case_ended.connect(refuse, weak=False)
    try:
        with pytest.raises(StillAtWork):
            cases.move_case(
                case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="mistyped"
            )
    finally:
        signals.case_ended.disconnect(refuse)

    case.refresh_from_db()
    assert case.state == CaseState.LOOKED_AT
    assert case.moves.count() == 1


@pytest.mark.django_db
def test_move_of_a_case_that_is_gone_is_refused():
    with pytest.raises(cases.CaseMissing):
        cases.move_case(case_id=987_654, to_state=CaseState.LOOKED_AT, by=None, now=NOW)


@pytest.mark.django_db
def test_every_move_raises_the_version():
    case = case_in(CaseState.OPEN)

    cases.move_case(case_id=case.pk, to_state=CaseState.LOOKED_AT, by=None, now=NOW)

    assert Case.objects.get(pk=case.pk).version == case.version + 1


def test_every_open_state_leads_on_and_no_closed_case_is_opened_again():
    assert all(MOVES[state] for state in OPEN_STATES)
    assert MOVES[CaseState.CLOSED] == frozenset()
