"""A walk-down as a use case: cautions first, looks kept once, taken back, finished."""

import uuid
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from diagnostics.case_states import CaseState
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from diagnostics.models import Case, Sighting, WalkDown
from diagnostics.services import cases, walking
from diagnostics.services.walking import Pass
from plant.errors import DomainError
from plant.loop.vocabulary import Side
from plant.roles import Role
from tests.diagnostics.factories import (
    NOW,
    later,
    look,
    make_bare_conveyor,
    make_case,
    make_person,
    make_walk_down,
)


@pytest.mark.django_db
def test_walk_down_begins_only_after_the_cautions_were_read():
    case = make_case()

    with pytest.raises(walking.CautionsUnread):
        walking.begin_walk_down(case_id=case.pk, how=Pass(), cautions_read=False, by=None, now=NOW)

    assert not WalkDown.objects.exists()


@pytest.mark.django_db
def test_first_walk_down_turns_an_open_case_into_one_being_looked_at():
    case = make_case()
    technician = make_person(Role.TECHNICIAN, case.conveyor.plant)

    walking.begin_walk_down(
        case_id=case.pk, how=Pass(), cautions_read=True, by=technician, now=later(minutes=9)
    )

    case.refresh_from_db()
    assert case.state == CaseState.LOOKED_AT
    assert case.moves.last().by == technician
    assert case.walk_downs.get().cautions_read_at == later(minutes=9)


@pytest.mark.django_db
def test_walk_down_for_an_ended_case_is_refused():
    case = make_case()
    cases.move_case(case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=NOW, why="mistyped")

    with pytest.raises(cases.CaseHasEnded):
        make_walk_down(case)


@pytest.mark.django_db
def test_look_is_kept_with_who_and_when_and_owes_a_diagnosis(monkeypatch):
    walk_down = make_walk_down()

    sighting = look(
        walk_down, persistence=Persistence.STEADY, load=LoadState.EMPTY, now=later(minutes=7)
    )

    sighting.refresh_from_db()
    assert (sighting.station, sighting.position_m, sighting.run) == ("R5", 76.0, "return")
    assert (sighting.degree, sighting.side, sighting.load) == ("half", "right", "empty")
    assert (sighting.persistence, sighting.seen_at) == ("steady", later(minutes=7))
    assert Case.objects.get(pk=walk_down.case_id).diagnosis_owed_at == later(minutes=7)


@pytest.mark.django_db
def test_look_sent_twice_is_kept_once():
    walk_down, client_id = make_walk_down(), uuid.uuid4()

    first = look(walk_down, client_id=client_id)
    second = look(walk_down, client_id=client_id)

    assert first.pk == second.pk
    assert Sighting.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_look_sent_twice_at_once_is_kept_once():
    walk_down, client_id, barrier = make_walk_down(), uuid.uuid4(), Barrier(3)

    def send(_number):
        try:
            barrier.wait(timeout=20)
            return look(walk_down, client_id=client_id).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(3) as pool:
        kept = set(pool.map(send, range(3)))

    assert len(kept) == 1
    assert Sighting.objects.count() == 1


@pytest.mark.django_db
def test_client_id_of_another_walk_down_is_refused():
    client_id = uuid.uuid4()
    look(make_walk_down(), client_id=client_id)
    other = make_walk_down()

    with pytest.raises(DomainError):
        look(other, client_id=client_id)

    assert not other.sightings.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "seen",
    [
        {"degree": None},
        {"degree": Degree.HALF, "side": None},
    ],
)
def test_look_that_says_nothing_is_refused(seen):
    walk_down = make_walk_down()

    with pytest.raises(walking.SightingSaysNothing):
        look(walk_down, **seen)

    assert not Sighting.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("offset_mm", [float("nan"), float("inf"), float("-inf")])
def test_offset_that_is_no_number_is_refused(offset_mm):
    with pytest.raises(DomainError):
        look(make_walk_down(), degree=None, offset_mm=offset_mm)

    assert not Sighting.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("position_m", [-0.5, 122.6, 1e9, float("nan"), float("inf")])
def test_place_off_the_loop_is_refused(position_m):
    with pytest.raises(walking.OffTheLoop):
        look(make_walk_down(), "here", position_m)

    assert not Sighting.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("position_m", [-0.5, float("nan"), float("inf")])
def test_impossible_place_is_refused_while_the_register_knows_no_loop(position_m):
    walk_down = make_walk_down(make_case(make_bare_conveyor()))

    with pytest.raises(walking.OffTheLoop):
        look(walk_down, "here", position_m)


@pytest.mark.django_db
def test_place_is_kept_while_the_register_knows_no_loop():
    walk_down = make_walk_down(make_case(make_bare_conveyor()))

    assert look(walk_down, "third idler past the shed", 40.0).pk


@pytest.mark.django_db
def test_offset_beyond_the_clearance_is_kept():
    sighting = look(make_walk_down(), degree=None, offset_mm=-140.0)

    assert sighting.offset_mm == -140.0


@pytest.mark.django_db
def test_station_out_of_reach_is_kept_with_its_reason_and_owes_nothing():
    walk_down = make_walk_down()

    sighting = look(walk_down, degree=None, not_seen_reason=" scaffold in the way ")

    assert sighting.not_seen_reason == "scaffold in the way"
    assert Case.objects.get(pk=walk_down.case_id).diagnosis_owed_at is None


@pytest.mark.django_db
def test_station_that_was_both_seen_and_out_of_reach_is_refused():
    with pytest.raises(DomainError):
        look(make_walk_down(), degree=None, offset_mm=20.0, not_seen_reason="scaffold in the way")

    assert not Sighting.objects.exists()


@pytest.mark.django_db
def test_stopped_belt_cannot_be_seen_off_centre_but_a_reason_can_be_kept():
    walk_down = make_walk_down(stopped_reason="no material")

    with pytest.raises(walking.BeltStopped):
        look(walk_down)

    assert look(walk_down, degree=None, not_seen_reason="belt stopped").pk


@pytest.mark.django_db
def test_look_before_the_start_of_its_walk_down_is_refused():
    walk_down = make_walk_down(now=later(hours=1))

    with pytest.raises(walking.SeenBeforeStart):
        look(walk_down, now=NOW)


@pytest.mark.django_db
def test_load_and_facing_change_on_the_way_and_earlier_looks_keep_theirs():
    walk_down = make_walk_down(load=LoadState.LOADED)
    early = look(walk_down, load=LoadState.LOADED)

    walking.change_pass(
        walk_down_id=walk_down.pk,
        how=Pass(facing="tail", load=LoadState.EMPTY, is_running_backwards=True),
        now=later(minutes=10),
    )

    walk_down.refresh_from_db()
    early.refresh_from_db()
    assert (walk_down.facing, walk_down.load) == ("tail", "empty")
    assert walk_down.is_running_backwards
    assert early.load == "loaded"


@pytest.mark.django_db
def test_remark_owes_a_diagnosis_and_saying_it_again_does_not():
    walk_down = make_walk_down()
    how = Pass(remarks=(Remark.WIND,))

    walking.change_pass(walk_down_id=walk_down.pk, how=how, now=later(minutes=10))
    case = Case.objects.get(pk=walk_down.case_id)
    assert case.diagnosis_owed_at == later(minutes=10)

    walking.change_pass(walk_down_id=walk_down.pk, how=how, now=later(minutes=20))
    case.refresh_from_db()
    assert case.diagnosis_owed_at == later(minutes=10)


@pytest.mark.django_db
def test_look_taken_back_stays_readable_and_can_be_made_to_count_again():
    walk_down = make_walk_down()
    sighting = look(walk_down)

    for counts, expected in ((False, later(minutes=30)), (True, None)):
        for owed in (later(minutes=30), None):
            Case.objects.update(diagnosis_owed_at=None)
            walking.count_sighting(
                sighting_id=sighting.pk,
                walk_down_id=walk_down.pk,
                counts=counts,
                now=later(minutes=30),
            )
            sighting.refresh_from_db()
            assert sighting.taken_back_at == expected
            assert Case.objects.get(pk=walk_down.case_id).diagnosis_owed_at == owed


@pytest.mark.django_db
def test_finished_walk_down_takes_no_look_until_it_goes_on():
    walk_down = make_walk_down()
    walking.finish_walk_down(walk_down_id=walk_down.pk, now=later(hours=1))

    with pytest.raises(walking.WalkDownFinished):
        look(walk_down)
    walking.go_on_walking(walk_down_id=walk_down.pk)

    assert look(walk_down).pk


@pytest.mark.django_db
def test_look_sent_again_after_the_finish_is_answered_not_refused():
    walk_down, client_id = make_walk_down(), uuid.uuid4()
    first = look(walk_down, client_id=client_id)
    walking.finish_walk_down(walk_down_id=walk_down.pk, now=later(hours=1))

    assert look(walk_down, client_id=client_id).pk == first.pk


@pytest.mark.django_db
def test_walk_down_that_is_gone_is_refused():
    walk_down = make_walk_down()
    WalkDown.objects.all().delete()

    with pytest.raises(walking.WalkDownMissing):
        look(walk_down)


@pytest.mark.django_db
def test_several_people_look_in_one_case():
    case = make_case()
    one, other = make_walk_down(case), make_walk_down(case, facing="tail")

    look(one, side=Side.LEFT)
    look(other, "R7", 82.0)

    assert Sighting.objects.filter(walk_down__case=case).count() == 2
