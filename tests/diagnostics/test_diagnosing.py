"""Running the engine for a case: what is kept, what is owed, and that nothing owed is lost."""

import math
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest
from django.db import connection, transaction

from diagnostics import knowledge_files, tasks
from diagnostics.case_states import CaseState
from diagnostics.inference.diagnosis import ENGINE_VERSION
from diagnostics.inference.diagnosis import diagnose as engine
from diagnostics.inference.posterior import Likelihoods, cause_probabilities
from diagnostics.inference.priors import Priors
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models import Case, Diagnosis, Sighting
from diagnostics.selectors.evidence import evidence_of
from diagnostics.services import diagnosing, findings, walking
from plant.models import Belt
from plant.services import keeping_belts
from tests.diagnostics.factories import (
    add_loop,
    later,
    look,
    make_bare_conveyor,
    make_case,
    make_walk_down,
    walk_with_trouble_on_return,
)


@pytest.mark.django_db
def test_diagnosis_keeps_the_whole_answer_and_its_first_hypotheses():
    walk_down = walk_with_trouble_on_return()

    made = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))

    made = Diagnosis.objects.get(pk=made.pk)
    assert (made.engine_version, made.made_at) == (ENGINE_VERSION, later(hours=1))
    assert made.knowledge_version == knowledge_files.current().version
    assert made.pattern == "fixed"
    assert made.answer["onset"]["station"] == "R9"
    hypotheses = list(made.hypotheses.all())
    assert [one.rank for one in hypotheses] == list(range(1, 11))
    for one, entry in zip(hypotheses, made.answer["ranked"], strict=False):
        assert (one.cause, one.cause_class) == (entry["cause"], entry["class"])
        assert {key: one.detail[key] for key in entry} == entry
        odds = one.detail["sum"]["start_odds"] * math.prod(
            line["factor"] for line in one.detail["sum"]["lines"]
        )
        assert odds / (1 + odds) == pytest.approx(one.probability)
    assert hypotheses[0].cause_class == "return_idler"


@pytest.mark.django_db
def test_kept_likelihoods_and_base_rates_give_the_classes_again():
    walk_down = walk_with_trouble_on_return()
    other = make_case(walk_down.case.conveyor)
    Case.objects.filter(pk=other.pk).update(cause="crooked_splice", cause_class="belt_splice")
    knowledge = knowledge_files.current()

    made = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))

    kept = Diagnosis.objects.get(pk=made.pk).likelihoods
    priors = Priors.from_json(kept["priors"])
    assert priors.classes[CauseClass.BELT_SPLICE] > 1 > priors.classes[CauseClass.LOADING]
    shares = cause_probabilities(Likelihoods.from_json(kept), knowledge, priors)
    for one in made.answer["classes"]:
        again = sum(shares[s] for s in shares if knowledge.causes[s].cause_class == one["class"])
        assert again == pytest.approx(one["probability"], abs=1e-9)


@pytest.mark.django_db
def test_confirmed_causes_of_another_plant_and_of_cancelled_cases_teach_nothing():
    walk_down = walk_with_trouble_on_return()
    cancelled = make_case(walk_down.case.conveyor)
    Case.objects.filter(pk=cancelled.pk).update(
        cause="crooked_splice", cause_class="belt_splice", state=CaseState.CANCELLED.value
    )
    elsewhere = make_case()
    assert elsewhere.conveyor.plant_id != walk_down.case.conveyor.plant_id
    Case.objects.filter(pk=elsewhere.pk).update(cause="crooked_splice", cause_class="belt_splice")

    assert evidence_of(walk_down.case).priors == Priors()


@pytest.mark.django_db
def test_later_diagnosis_supersedes_the_earlier_which_stays_as_it_was():
    walk_down = walk_with_trouble_on_return()
    first = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))
    answer = Diagnosis.objects.get(pk=first.pk).answer
    look(walk_down, "R18", 115.0, degree=None, offset_mm=-80.0, now=later(hours=2))

    second = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=3))

    first.refresh_from_db()
    assert first.superseded_at == later(hours=3)
    assert first.answer == answer
    assert second.superseded_at is None
    assert Diagnosis.objects.filter(superseded_at__isnull=True).get() == second


@pytest.mark.django_db
def test_looks_taken_back_and_stations_out_of_reach_are_no_evidence():
    walk_down = make_walk_down()
    kept = look(walk_down, "R5")
    gone = look(walk_down, "R7", 82.0)
    look(walk_down, "R9", 88.0, degree=None, not_seen_reason="scaffold")
    walking.count_sighting(
        sighting_id=gone.pk, walk_down_id=walk_down.pk, counts=False, now=later(minutes=9)
    )

    stations = [one.station for one in evidence_of(walk_down.case).sightings]

    assert stations == [kept.station]


@pytest.mark.django_db
def test_second_look_at_a_station_in_the_same_load_state_replaces_the_first():
    walk_down = make_walk_down()
    look(walk_down, degree=None, offset_mm=30.0)
    look(walk_down, degree=None, offset_mm=55.0)
    look(walk_down, degree=None, offset_mm=10.0, load="empty")

    seen = {(one.load, one.offset_mm) for one in evidence_of(walk_down.case).sightings}

    assert seen == {("loaded", 55.0), ("empty", 10.0)}


@pytest.mark.django_db
def test_evidence_without_a_fitted_belt_takes_the_length_of_the_path():
    case = make_case()
    Belt.objects.all().delete()

    facts = evidence_of(case).conveyor

    assert facts.belt.length_m == facts.loop.length_m


@pytest.mark.django_db
def test_case_in_which_nothing_was_seen_yet_says_what_to_do():
    made = diagnosing.diagnose_case(case_id=make_case().pk, now=later(hours=1))

    assert not made.is_sufficient
    assert made.answer["next_checks"]
    assert any("Walk the belt" in note for note in made.answer["notes"])


@pytest.mark.django_db
def test_case_on_an_incomplete_register_is_refused_in_words():
    case = make_case(make_bare_conveyor())

    with pytest.raises(diagnosing.LoopIncomplete, match="head pulley"):
        diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))

    assert not Diagnosis.objects.exists()


@pytest.mark.django_db
def test_look_from_before_the_register_was_put_right_does_not_stop_the_engine():
    walk_down = walk_with_trouble_on_return()
    Sighting.objects.filter(station="R17").update(position_m=180.0)

    made = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))

    assert made.hypotheses.exists()


@pytest.mark.django_db
def test_wake_up_after_the_commit_diagnoses(django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        walk_down = walk_with_trouble_on_return()
        assert Case.objects.get(pk=walk_down.case_id).diagnosis_owed_at is not None

    case = Case.objects.get(pk=walk_down.case_id)
    assert case.diagnosis_owed_at is None
    assert case.diagnoses.filter(superseded_at__isnull=True).count() == 1


@pytest.mark.django_db
def test_lost_wake_up_is_made_good_by_the_sweep():
    walk_down = walk_with_trouble_on_return()  # whose commit never comes in this test
    assert not Diagnosis.objects.exists()

    assert diagnosing.pay_owed() == 1

    assert Diagnosis.objects.filter(case=walk_down.case_id).count() == 1


@pytest.mark.django_db
def test_repeated_wake_up_does_nothing_twice():
    walk_with_trouble_on_return()

    tasks.diagnose_owed_cases()
    tasks.diagnose_owed_cases(said_by="a later version")

    assert Diagnosis.objects.count() == 1
    assert diagnosing.pay_owed() == 0


@pytest.mark.django_db
def test_wake_up_pays_its_own_case_and_leaves_the_others_to_the_sweep():
    mine, other = walk_with_trouble_on_return(), walk_with_trouble_on_return()

    tasks.diagnose_owed_cases(case_id=mine.case_id)

    assert Diagnosis.objects.get().case_id == mine.case_id
    assert Case.objects.get(pk=other.case_id).diagnosis_owed_at is not None
    assert diagnosing.pay_owed() == 1


@pytest.mark.django_db(transaction=True)
def test_what_is_rolled_back_is_not_owed():
    walk_down = make_walk_down()

    with transaction.atomic():
        look(walk_down)
        transaction.set_rollback(True)

    assert Case.objects.get(pk=walk_down.case_id).diagnosis_owed_at is None
    assert not Diagnosis.objects.exists()


@pytest.mark.django_db
def test_incomplete_register_stops_neither_the_sweep_nor_other_cases():
    walled_in = make_walk_down(make_case(make_bare_conveyor()))
    look(walled_in)
    walk_down = walk_with_trouble_on_return()

    diagnosing.pay_owed()

    assert Diagnosis.objects.get().case_id == walk_down.case_id


@pytest.mark.django_db
def test_case_on_an_incomplete_register_is_diagnosed_once_the_loop_is_closed():
    walk_down = make_walk_down(make_case(make_bare_conveyor()))
    look(walk_down)
    diagnosing.pay_owed()
    add_loop(walk_down.case.conveyor)

    look(walk_down, "R9", 88.0)
    diagnosing.pay_owed()

    assert Diagnosis.objects.get().case_id == walk_down.case_id


@pytest.mark.django_db
def test_case_on_which_the_engine_fails_stays_owed_and_stops_no_other(monkeypatch):
    broken = walk_with_trouble_on_return()
    sound = walk_with_trouble_on_return()
    tag = broken.case.conveyor.tag

    def fail_on_one(evidence, knowledge):
        if evidence.conveyor.tag == tag:
            raise ZeroDivisionError
        return engine(evidence, knowledge)

    monkeypatch.setattr(diagnosing, "diagnose", fail_on_one)

    assert diagnosing.pay_owed() == 1

    assert Diagnosis.objects.get().case_id == sound.case_id
    assert Case.objects.get(pk=broken.case_id).diagnosis_owed_at is not None


@pytest.mark.django_db(transaction=True)
def test_look_kept_while_the_engine_runs_is_owed_again(monkeypatch):
    # Wake-ups are lost on purpose: only what is owed may speak.
    monkeypatch.setattr(diagnosing, "_wake", lambda _case_id: None)
    walk_down = walk_with_trouble_on_return()
    engine_runs, look_begins = Event(), Event()

    def slow(evidence, knowledge):
        engine_runs.set()
        look_begins.wait(timeout=20)
        return engine(evidence, knowledge)

    monkeypatch.setattr(diagnosing, "diagnose", slow)

    def keep_look():
        try:
            engine_runs.wait(timeout=20)
            look_begins.set()
            look(walk_down, "R18", 115.0, now=later(hours=2))
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        kept = pool.submit(keep_look)
        diagnosing.pay_owed(most=1)
        kept.result(timeout=20)

    assert Case.objects.get(pk=walk_down.case_id).diagnosis_owed_at == later(hours=2)
    assert diagnosing.pay_owed() == 1


@pytest.mark.django_db(transaction=True)
def test_two_workers_at_once_diagnose_each_case_once(monkeypatch):
    monkeypatch.setattr(diagnosing, "_wake", lambda _case_id: None)
    walks = [walk_with_trouble_on_return() for _ in range(3)]

    def work(_number):
        try:
            return diagnosing.pay_owed()
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        done = sum(pool.map(work, range(2)))

    assert done == 3
    assert sorted(Diagnosis.objects.values_list("case_id", flat=True)) == sorted(
        walk.case_id for walk in walks
    )


@pytest.mark.django_db
def test_evidence_costs_the_same_queries_for_few_and_many_looks(django_assert_num_queries):
    few, many = make_walk_down(), walk_with_trouble_on_return()
    look(few)

    with django_assert_num_queries(15):
        evidence_of(Case.objects.select_related("conveyor").get(pk=few.case_id))
    with django_assert_num_queries(15):
        evidence_of(Case.objects.select_related("conveyor").get(pk=many.case_id))


@pytest.mark.django_db(transaction=True)
def test_change_of_the_register_diagnoses_open_cases_of_the_conveyor_anew():
    walk_down = walk_with_trouble_on_return()
    case = walk_down.case
    first = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    ended = make_case(case.conveyor)
    Case.objects.filter(pk=ended.pk).update(state=CaseState.CLOSED.value)
    belt = case.conveyor.belts.get()

    keeping_belts.edit_belt(
        conveyor_id=case.conveyor_id,
        belt_id=belt.pk,
        values={"width_mm": 1200},
        version=belt.version,
        by=None,
    )

    case.refresh_from_db()
    latest = case.diagnoses.filter(superseded_at__isnull=True).get()
    assert latest.pk != first.pk
    assert case.diagnosis_owed_at is None
    assert not ended.diagnoses.exists()


@pytest.mark.django_db
def test_diagnosis_keeps_what_came_in_since_the_last_one_and_what_it_moved():
    walk_down = make_walk_down()
    look(walk_down, "R5")
    first = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=1))
    new = look(walk_down, "R18", 115.0, degree=None, offset_mm=-90.0, now=later(hours=2))
    findings.record_finding(
        case_id=walk_down.case_id,
        cause="tail_pulley_skewed",
        is_present=True,
        place="",
        note="",
        by=None,
        now=later(hours=2),
    )

    second = diagnosing.diagnose_case(case_id=walk_down.case_id, now=later(hours=3))

    assert first.basis["moved"] == []
    assert new.pk in second.basis["sightings"]
    assert new.pk not in first.basis["sightings"]
    seen, found = second.basis["moved"]
    assert "R18" in seen["says"][0]
    assert "was found." in found["says"][0]
    shifts = {one["cause_class"]: one for one in found["shifts"]}
    assert shifts["tail_pulley"]["after"] > shifts["tail_pulley"]["before"]
