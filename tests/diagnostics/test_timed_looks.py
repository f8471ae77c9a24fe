"""Timed looks kept by the service: taps, sensor files, taking back, and what they count for."""

import uuid
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction

from diagnostics.case_states import CaseState
from diagnostics.inference.evidence import Tap
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from diagnostics.models import Case, CaseMove, TimedLook
from diagnostics.selectors.evidence import evidence_of
from diagnostics.selectors.timed_looks import read_look
from diagnostics.services import cases, diagnosing, timed_looks, walking
from plant.loop.vocabulary import Side
from tests.diagnostics.factories import (
    NOW,
    a_sensor_file,
    later,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_sensor_look,
    make_timed_look,
    make_walk_down,
)

pytestmark = pytest.mark.django_db


def count(row: TimedLook, *, counts: bool) -> TimedLook:
    return timed_looks.count_timed_look(
        timed_look_id=row.pk, case_id=row.case_id, counts=counts, now=later(hours=1)
    )


def test_taps_are_kept_read_and_owe_a_diagnosis():
    row = make_timed_look()

    row = TimedLook.objects.select_related("case__conveyor").get(pk=row.pk)
    assert row.kind == TimedLookKind.TAPS
    assert row.started_at == NOW - timedelta(seconds=250)
    assert row.said.startswith("Something travels with the belt")
    assert row.case.diagnosis_owed_at == NOW
    assert row.case.state == CaseState.LOOKED_AT
    reading = read_look(row).reading
    assert reading is not None
    assert reading.travel.side is Side.LEFT
    # The middle of the way over, 4 s ahead of the splice at 2 m/s.
    assert reading.travel.belt_position_m == pytest.approx(8.0, abs=1.0)


def test_a_sensor_file_is_kept_with_its_samples_and_taken_away_as_it_came():
    content = a_sensor_file()

    row = make_sensor_look(content=content, name="C:\\logs\\edge log.csv")

    row = TimedLook.objects.select_related("case__conveyor").get(pk=row.pk)
    assert row.file_to_take == "edge log.csv"
    assert row.file.open().read() == content
    assert row.duration_s == pytest.approx(245, abs=1)
    assert row.splice_passes_s == pytest.approx([15.0, 76.4, 137.6, 198.8], abs=0.3)
    reading = read_look(row).reading
    assert reading is not None
    assert reading.travel.side is Side.RIGHT
    assert reading.travel.belt_position_m == pytest.approx(10.0, abs=2.0)


def test_a_file_whose_plus_is_left_is_turned_round():
    (look,) = evidence_of(make_sensor_look(plus_is_left=True).case).timed_looks

    assert np.min(look.offsets_mm) < -35


def test_standing_looks_are_evidence_and_reach_the_diagnosis():
    case = make_case()
    make_timed_look(case)
    taken = make_sensor_look(case)
    count(taken, counts=False)

    evidence = evidence_of(Case.objects.get(pk=case.pk))
    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=2))

    (look,) = evidence.timed_looks
    assert look.taps[0] == Tap(10.0, TapEvent.OVER_LEFT)
    assert made.pattern == "travelling"


def test_after_a_failed_proof_run_only_looks_since_count():
    case = make_case()
    make_timed_look(case)
    CaseMove.objects.create(
        case=case,
        from_state=CaseState.ON_PROOF,
        to_state=CaseState.LOOKED_AT,
        at=later(days=1),
    )

    assert len(evidence_of(case).timed_looks) == 1

    since = make_sensor_look(case, now=later(days=2))

    (look,) = evidence_of(case).timed_looks
    assert look.kind is TimedLookKind.LOG
    assert since.started_at > later(days=1)


def test_a_look_taken_back_counts_again_when_that_is_undone():
    row = make_timed_look()

    for counts in (False, True):
        for expected in (later(hours=1), None):
            Case.objects.update(diagnosis_owed_at=None)
            count(row, counts=counts)
            assert len(evidence_of(row.case).timed_looks) == counts
            assert Case.objects.get(pk=row.case_id).diagnosis_owed_at == expected


def test_the_same_look_sent_twice_is_kept_once():
    case, client_id = make_case(), uuid.uuid4()

    first = make_timed_look(case, client_id=client_id)
    second = make_timed_look(case, client_id=client_id)

    assert first.pk == second.pk
    assert TimedLook.objects.count() == 1


def test_a_client_id_of_another_case_is_refused():
    first = make_timed_look()

    with pytest.raises(walking.ClientIdTaken):
        make_timed_look(client_id=first.client_id)


def test_without_the_cautions_nothing_is_kept():
    for make in (make_timed_look, make_sensor_look):
        with pytest.raises(walking.CautionsUnread):
            make(cautions_read=False)
    assert not TimedLook.objects.exists()


@pytest.mark.parametrize(
    ("how", "refusal"),
    [
        ({"taps": [], "duration_s": 0.0}, timed_looks.TimedLookSaysNothing),
        ({"duration_s": float("nan")}, timed_looks.TimedLookSaysNothing),
        ({"duration_s": 3.0}, timed_looks.TimesRunBackwards),
        (
            {"taps": [Tap(5.0, TapEvent.SPLICE), Tap(4.0, TapEvent.SPLICE)]},
            timed_looks.TimesRunBackwards,
        ),
        ({"taps": [Tap(float("nan"), TapEvent.SPLICE)]}, timed_looks.TimesRunBackwards),
        ({"duration_s": 1e9}, timed_looks.TimedLookTooLong),
        ({"post": {"position_m": 122.6}}, walking.OffTheLoop),
        ({"post": {"position_m": -1.0}}, walking.OffTheLoop),
        ({"post": {"started_at": later(hours=1)}}, timed_looks.TimedInTheFuture),
        ({"post": {"started_at": datetime(1, 1, 1, tzinfo=UTC)}}, timed_looks.TimedTooLongAgo),
    ],
)
def test_taps_that_cannot_be_are_refused(how, refusal):
    with pytest.raises(refusal):
        make_timed_look(**how)
    assert not TimedLook.objects.exists()


def test_a_bad_file_is_refused_with_its_row_and_nothing_is_stored():
    before = _stored()

    with pytest.raises(timed_looks.SensorFileRefused, match="row 3, column offset"):
        make_sensor_look(content=b"time,offset\n0,1\n1,x\n")

    assert not TimedLook.objects.exists()
    assert _stored() == before


def test_a_file_whose_row_is_refused_does_not_stay(monkeypatch):
    def refuse(*_args, **_more):
        raise IntegrityError

    before = _stored()
    monkeypatch.setattr(TimedLook, "save", refuse)

    with pytest.raises(walking.ClientIdTaken):
        make_sensor_look()

    assert _stored() == before


def test_one_look_too_many_of_a_case_is_neither_kept_nor_brought_back(monkeypatch):
    monkeypatch.setattr(timed_looks, "MOST_LOOKS", 2)
    case = make_case()
    first, _second = make_timed_look(case), make_timed_look(case)

    with pytest.raises(timed_looks.TooManyTimedLooks):
        make_timed_look(case)
    assert count(first, counts=True).taken_back_at is None
    count(first, counts=False)
    make_timed_look(case)

    with pytest.raises(timed_looks.TooManyTimedLooks):
        count(first, counts=True)
    assert TimedLook.objects.filter(taken_back_at__isnull=True).count() == 2


def test_a_case_that_has_ended_takes_no_look():
    case = make_case()
    row = make_timed_look(case)
    cases.move_case(
        case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=later(hours=1), why="twice"
    )

    with pytest.raises(cases.CaseHasEnded):
        make_timed_look(case, now=later(hours=2))
    with pytest.raises(cases.CaseHasEnded):
        count(row, counts=False)


def test_a_look_on_an_incomplete_register_is_kept_and_says_what_is_missing():
    row = make_timed_look(make_case(make_bare_conveyor()))

    read = read_look(TimedLook.objects.select_related("case__conveyor").get(pk=row.pk))

    assert row.said == ""
    assert read.reading is None
    assert read.missing


def test_a_reversing_belt_watched_backwards_is_read_the_other_way_round():
    case = make_case(make_conveyor(is_reversing=True))
    row = make_timed_look(case, post={"is_running_backwards": True})

    reading = read_look(row).reading

    assert reading is not None
    assert reading.travel.belt_position_m == pytest.approx(122.5 - 8.0, abs=1.0)


def test_the_table_holds_one_kind_at_a_time():
    row = make_timed_look()

    with pytest.raises(IntegrityError), transaction.atomic():
        TimedLook.objects.filter(pk=row.pk).update(samples=b"x")
    with pytest.raises(IntegrityError), transaction.atomic():
        TimedLook.objects.filter(pk=row.pk).update(duration_s=0)


def test_a_walk_down_and_a_timed_look_are_evidence_together():
    walk_down = make_walk_down()
    make_timed_look(walk_down.case)

    assert len(evidence_of(walk_down.case).timed_looks) == 1


def _stored(folder: str = "timed-looks") -> list[str]:
    """Every file below a folder of the storage."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return []
    return files + [one for inner in folders for one in _stored(f"{folder}/{inner}")]
