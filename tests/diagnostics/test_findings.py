"""What a close look at a component showed."""

from datetime import datetime

import pytest

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Finding
from diagnostics.selectors.evidence import evidence_of
from diagnostics.services import cases, findings
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    make_case,
    make_conveyor,
    make_person,
)


def record(case, **changes):
    given = {
        "case_id": case.pk,
        "cause": "return_idler_skewed",
        "is_present": True,
        "place": "R9",
        "by": None,
        "now": later(hours=1),
    }
    return findings.record_finding(**{**given, **changes})


def count(finding: Finding, *, counts: bool, now: datetime) -> Finding:
    return findings.count_finding(
        finding_id=finding.pk, case_id=finding.case_id, counts=counts, now=now
    )


@pytest.mark.django_db
def test_finding_is_kept_and_owes_a_diagnosis():
    case = make_case()
    technician = make_person(Role.TECHNICIAN, case.conveyor.plant)

    finding = record(case, by=technician, note=" out of square by 4 mm ")

    assert (finding.place, finding.note, finding.found_by) == (
        "R9",
        "out of square by 4 mm",
        technician,
    )
    case = Case.objects.get(pk=case.pk)
    assert case.diagnosis_owed_at == later(hours=1)
    assert case.state == CaseState.LOOKED_AT


@pytest.mark.django_db
def test_finding_at_a_component_takes_its_name():
    case = make_case()

    finding = record(case, component=case.conveyor.components.get(name="HP"), place="")

    assert finding.place == "HP"


@pytest.mark.django_db
def test_component_of_another_conveyor_is_refused():
    stranger = make_conveyor().components.get(name="HP")

    with pytest.raises(findings.ComponentOfAnotherConveyor):
        record(make_case(), component=stranger)


@pytest.mark.django_db
def test_cause_that_is_not_in_the_catalogue_is_refused():
    with pytest.raises(findings.UnknownCause):
        record(make_case(), cause="gremlins")

    assert not Finding.objects.exists()


@pytest.mark.django_db
def test_finding_for_an_ended_case_is_refused():
    case = make_case()
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="mistyped")

    with pytest.raises(cases.CaseHasEnded):
        record(case)


@pytest.mark.django_db
def test_finding_taken_back_stays_readable_but_counts_no_more():
    case = make_case()
    finding = record(case)
    assert len(evidence_of(case).findings) == 1

    count(finding, counts=False, now=later(hours=2))

    finding.refresh_from_db()
    assert finding.taken_back_at == later(hours=2)
    assert evidence_of(case).findings == ()
    assert Case.objects.get(pk=case.pk).diagnosis_owed_at == later(hours=2)


@pytest.mark.django_db
def test_finding_asked_to_be_as_it_is_stays_so_and_owes_no_diagnosis():
    case = make_case()
    finding = record(case)

    for counts, expected in ((True, None), (False, later(hours=2)), (True, None)):
        count(finding, counts=counts, now=later(hours=2))
        Case.objects.update(diagnosis_owed_at=None)
        count(finding, counts=counts, now=later(hours=3))

        finding.refresh_from_db()
        assert finding.taken_back_at == expected
        assert Case.objects.get(pk=case.pk).diagnosis_owed_at is None


@pytest.mark.django_db
def test_what_was_found_wrong_before_a_mend_that_did_not_hold_is_wrong_no_more():
    case = make_case()
    record(case, now=later(hours=1))
    record(case, cause="return_roll_seized", place="R12", is_present=False, now=later(hours=1))
    for hours, state in enumerate(
        (CaseState.CAUSE_FOUND, CaseState.MENDED, CaseState.ON_PROOF, CaseState.LOOKED_AT), start=2
    ):
        cases.move_case(case_id=case.pk, to_state=state, by=None, now=later(hours=hours))
    record(case, cause="return_idler_dropped", place="R10", now=later(hours=8))

    found = [(one.cause, one.is_present) for one in evidence_of(case).findings]

    assert found == [("return_roll_seized", False), ("return_idler_dropped", True)]
