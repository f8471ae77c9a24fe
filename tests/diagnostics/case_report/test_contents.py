"""What a report says, of a case at every stage."""

import pytest

from diagnostics import knowledge_files
from diagnostics.case_states import CaseState
from diagnostics.models import Hypothesis
from diagnostics.services import cases, complaints, diagnosing, findings, judging, walking
from diagnostics.walking_cautions import walking_cautions
from plant.roles import Role
from tests import pdf_reader
from tests.diagnostics.case_report import reports
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_person,
    make_plant,
    make_timed_look,
    make_walk_down,
    take,
    walk_with_trouble_on_return,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(plant):
    return take(make_conveyor(plant), words="it rubs the frame at the tail").case


@pytest.fixture
def lead(plant):
    return make_person(Role.LEAD, plant)


def diagnosed(case):
    walk_with_trouble_on_return(case)
    return diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))


def unspaced(words):
    return "".join(words.split())


def test_cautions_with_their_sources_stand_before_anything_else(case):
    diagnosed(case)

    first = pdf_reader.pages_of(reports.pdf_of(case))[0]

    after = first.index("Conveyor and case")
    for caution in walking_cautions(case.conveyor.plant_id):
        assert unspaced(caution) in unspaced(first[:after])
    assert "29 CFR 1910.147" in first[:after]


def test_cautions_of_what_is_suspected_are_among_them(case):
    made = diagnosed(case)
    own = set(made.answer["cautions"]) - set(walking_cautions(case.conveyor.plant_id))

    letters = pdf_reader.letters_of(reports.pdf_of(case))

    assert own
    assert all(unspaced(caution) in letters for caution in own)


def test_case_nobody_has_walked_says_so_and_what_to_do(case):
    words = reports.words_of(case)

    assert "it rubs the frame at the tail" in words
    assert "No diagnosis yet." in words
    assert "Nobody has walked this belt yet." in words
    assert "Walk the belt and note at each station how it runs." in words
    assert "Timed looks" not in words
    assert "Photos" not in words


def test_incomplete_register_says_what_is_missing():
    words = reports.words_of(make_case(make_bare_conveyor()))

    assert "The loop cannot be drawn yet: The head pulley and the tail pulley are missing." in words
    assert "No diagnosis can be made until the register is complete" in words
    assert "Nobody called; the case was opened by hand." in words


def test_suspicion_is_a_suggestion_with_reasons_and_correction(case):
    made = diagnosed(case)
    first = made.hypotheses.all()[0]

    letters = pdf_reader.letters_of(reports.pdf_of(case))

    assert unspaced("A suggestion of the program from what was seen") in letters
    assert unspaced("A person confirms it.") in letters
    assert unspaced(knowledge_files.current().causes[first.cause].name) in letters
    for reason in first.detail["reasons"][:-1]:
        assert unspaced(reason) in letters
    assert unspaced(first.detail["correction"]["what"]) in letters
    assert unspaced(made.answer["next_checks"][0]["what"]) in letters


def test_thin_evidence_is_called_thin(case):
    look(make_walk_down(case), "R9", 88.0)
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    assert not made.is_sufficient
    assert "What was seen does not support an answer yet." in reports.words_of(case)


def test_owed_diagnosis_is_told(case):
    diagnosed(case)
    look(make_walk_down(case, now=later(hours=2)), "R7", 82.0)

    assert "a new diagnosis is on its way" in reports.words_of(case)


def test_confirmed_cause_names_who_and_why_and_its_correction(case, lead):
    made = diagnosed(case)
    first = made.hypotheses.all()[0]
    judging.accept_hypothesis(
        hypothesis_id=first.pk, case_id=case.pk, by=lead, now=later(hours=2), why="bracket bent"
    )

    words = reports.words_of(case)

    confirmed = words.split("The cause, confirmed by a person")[1].split("Along the loop")[0]
    assert knowledge_files.current().causes[first.cause].name in confirmed
    assert f"{lead}, 2026-11-02 12:30" in confirmed
    assert "bracket bent" in confirmed
    assert "If it is the cause" not in words


def test_cause_a_person_named_is_mended_as_the_catalogue_says(case, lead):
    judging.name_cause(
        case_id=case.pk, cause="tail_pulley_skewed", by=lead, now=later(hours=1), why="measured"
    )

    letters = pdf_reader.letters_of(reports.pdf_of(case))

    assert unspaced(knowledge_files.current().causes["tail_pulley_skewed"].correct) in letters


def test_cause_the_catalogue_knows_no_more_is_reported_by_its_slug(case):
    Hypothesis.objects.create(case=case, cause="lost_cause", accepted_at=NOW)

    words = reports.words_of(case)

    assert "lost cause" in words
    assert "As its work order says." in words


def test_refuted_suspicion_is_called_refuted_and_not_worked_on(case, lead):
    first, second = diagnosed(case).hypotheses.all()[:2]
    judging.refute_hypothesis(
        hypothesis_id=first.pk, case_id=case.pk, by=lead, now=later(hours=2), why="is straight"
    )

    words = reports.words_of(case)

    assert f"Refuted by {lead}: is straight" in words
    to_do = words.split("What to do")[1]
    assert f"If it is the cause: {knowledge_files.current().causes[second.cause].name}" in to_do


def test_looks_are_told_in_the_words_of_the_conveyor(case):
    walk_down = make_walk_down(case)
    look(walk_down, "R9", 88.0, note="spills here")
    look(walk_down, "I4", 4.9, degree=None, offset_mm=-130)

    words = reports.words_of(case)

    assert "R9 return run, 88.0 m half right (shed side) loaded spills here" in words
    assert "130 mm left (sea side) loaded beyond the edge clearance" in words
    assert "left (sea side), right (shed side)" in words


def test_look_taken_back_is_not_reported(case):
    walk_down = make_walk_down(case)
    look(walk_down, "R9", 88.0)
    wrong = look(walk_down, "I40", 51.7)
    walking.count_sighting(
        sighting_id=wrong.pk, walk_down_id=walk_down.pk, counts=False, now=later(hours=1)
    )

    words = reports.words_of(case)

    assert "1 look." in words
    assert "I40" not in words


def test_station_out_of_reach_and_standing_belt_give_their_reasons(case):
    look(make_walk_down(case), "R9", 88.0, degree=None, not_seen_reason="flooded")
    make_walk_down(case, now=later(hours=1), stopped_reason="no material")

    words = reports.words_of(case)

    assert "not reachable: flooded" in words
    assert "the belt stood still: no material" in words


def test_looks_of_before_a_mend_that_did_not_hold_are_set_apart(case):
    walk_with_trouble_on_return(case)
    for days, state in enumerate(
        (CaseState.CAUSE_FOUND, CaseState.MENDED, CaseState.ON_PROOF, CaseState.LOOKED_AT), start=1
    ):
        cases.move_case(case_id=case.pk, to_state=state, by=None, now=later(days=days))

    assert "A mend that did not hold ended 2026-11-05" in reports.words_of(case)


def test_loop_is_drawn_with_its_parts_marks_and_peaks(case):
    made = diagnosed(case)

    drawing = reports.words_of(case).split("Along the loop")[1].split("Ribbon: how far")[0]

    for name in ("HP", "TP", "LP", made.answer["onset"]["station"], "half right (shed side)"):
        assert name in drawing


def test_findings_and_remarks_are_reported(case, lead):
    findings.record_finding(
        case_id=case.pk,
        cause="return_idler_skewed",
        is_present=True,
        by=lead,
        now=NOW,
        note="wedge gone",
    )
    gone = findings.record_finding(
        case_id=case.pk, cause="tail_pulley_skewed", is_present=False, by=lead, now=NOW
    )
    findings.count_finding(finding_id=gone.pk, case_id=case.pk, counts=False, now=later(hours=1))
    make_walk_down(case, note="heard it squeal")

    words = reports.words_of(case)

    assert "yes: Return idler out of square: wedge gone" in words
    assert "no: Tail pulley" not in words
    assert "heard it squeal" in words


def test_timed_look_is_told_in_a_sentence(case):
    made = make_timed_look(case)

    words = reports.words_of(case)

    assert made.said
    assert unspaced(made.said) in unspaced(words.split("Timed looks")[1])


def test_withdrawn_complaint_and_callers_are_left_out(plant):
    belt = make_conveyor(plant)
    kept = take(belt, words="it rubs")
    wrong = take(belt, words="other belt", join_case_id=kept.case_id)
    complaints.withdraw_complaint(
        complaint_id=wrong.pk, why="wrong belt", by=None, now=later(hours=1)
    )
    kept.caller_name, kept.caller_contact = "A. Caller", "555 01"
    kept.save()

    words = reports.words_of(kept.case)

    assert "other belt" not in words
    assert "A. Caller" not in words
    assert "555 01" not in words


def test_times_are_the_plants_own():
    case = take(make_conveyor(make_plant(time_zone="Asia/Tokyo"))).case

    words = reports.words_of(case)

    assert "Opened 2026-11-02 23:30 JST" in words


def test_every_page_ends_with_the_title_block(case, lead):
    diagnosed(case)

    pages = pdf_reader.pages_of(reports.pdf_of(case, lead))

    assert len(pages) > 1
    for number, page in enumerate(pages, start=1):
        assert str(lead) in page
        assert case.number in page
        assert str(case.conveyor) in page
        assert "2026-11-02" in page
        assert f"{number} of {len(pages)}" in page


def test_invented_data_is_called_invented(case):
    case.conveyor.plant.is_demo = True
    case.conveyor.plant.save()

    assert "invented demo data" in reports.words_of(case)
