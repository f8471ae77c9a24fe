"""Why a job is left out, by problems that have no room for it in one way each."""

from dataclasses import replace

import pytest

from tests.workorders.planning.outages.every_plan import HORIZON
from tests.workorders.planning.outages.small_plans import at, crew, job, placed, plan, span, window
from workorders.planning.outages.clashes import ClashKind
from workorders.planning.outages.plan import Absence
from workorders.planning.outages.proposal import LeftOut, Proposal, Reason, propose


def proposal_of(*jobs, **parts) -> Proposal:
    return propose(plan(jobs=list(jobs), **parts), HORIZON)


def left_out(*jobs, **parts) -> LeftOut:
    """The only one of the jobs that is left out, always the first."""
    (one,) = proposal_of(*jobs, **parts).left_out
    assert one.job == jobs[0].key
    return one


def test_parts_that_are_missing_are_the_first_reason_whatever_else_there_is():
    one = left_out(job(parts_missing="2 rolls", held="waits for people", conveyor="Q99"))

    assert (one.reason, one.why) == (Reason.PARTS_MISSING, "2 rolls")


def test_a_job_that_is_held_says_why():
    one = left_out(job(held="waits for people: welder"))

    assert (one.reason, one.why) == (Reason.HELD, "waits for people: welder")


def test_a_conveyor_without_a_window():
    assert left_out(job(conveyor="Q99")).reason == Reason.NO_WINDOW


def test_a_window_that_begins_after_the_horizon_is_none():
    late = window("W", 60, 70)

    assert left_out(job(), windows=[late]).reason == Reason.NO_WINDOW


def test_a_job_longer_than_every_window():
    one = left_out(job(minutes=300), windows=[window("W", 6, 10), window("V", 30, 33)])

    assert one.reason == Reason.LONGER_THAN_WINDOWS
    assert (one.asked, one.there) == (300, 240)


def test_a_skill_that_no_crew_has():
    one = left_out(job(skills=frozenset({"mechanic", "splicer"})))

    assert (one.reason, one.names) == (Reason.LACKS_SKILL, ("splicer",))


def test_two_skills_that_no_one_crew_has_together():
    crews = [crew("day"), crew("belts", skills={"splicer"})]
    one = left_out(job(skills=frozenset({"mechanic", "splicer"})), crews=crews)

    assert (one.reason, one.names) == (Reason.LACKS_SKILL, ("mechanic", "splicer"))


def test_more_people_than_a_crew_with_the_skill_has():
    crews = [crew(people=3), crew("belts", 6, skills={"splicer"})]
    one = left_out(job(people=4, skills=frozenset({"mechanic"})), crews=crews)

    assert (one.reason, one.asked, one.there) == (Reason.TOO_FEW_PEOPLE, 4, 3)


def test_a_job_that_may_not_begin_before_the_last_window_is_over():
    one = left_out(job(earliest=at(15)))

    assert (one.reason, one.at) == (Reason.TOO_LATE_TO_BEGIN, at(15))


def test_parts_that_come_after_the_last_window():
    one = left_out(job(parts_on=at(20)))

    assert (one.reason, one.at) == (Reason.PARTS_TOO_LATE, at(20))


def test_nobody_works_while_the_window_is_open():
    one = left_out(job(), crews=[crew(shifts=(span(20, 30),))])

    assert one.reason == Reason.NO_SHIFT


def test_a_job_waits_for_one_that_is_left_out():
    later, first = job("J2", after=frozenset({"J1"})), job("J1", held="waits for people")

    reasons = {one.job: one for one in proposal_of(later, first).left_out}

    assert reasons["J2"].reason == Reason.WAITS_FOR_LEFT_OUT
    assert reasons["J2"].names == ("J1",)


def test_jobs_that_wait_for_each_other_are_left_out():
    one, other = job("J1", after=frozenset({"J2"})), job("J2", after=frozenset({"J1"}))

    reasons = {left.reason for left in proposal_of(one, other).left_out}

    assert reasons == {Reason.WAITS_FOR_LEFT_OUT}


def test_a_job_that_had_to_be_done_before_a_pinned_one():
    pinned = job("J2", after=frozenset({"J1"}), placed=placed("J2", 7, 9), is_pinned=True)

    one = left_out(job("J1"), pinned)

    assert (one.reason, one.names, one.at) == (Reason.BEFORE_STANDING, ("J2",), at(7))


def test_a_job_that_waits_for_a_pinned_one_at_the_end():
    pinned = job("J2", placed=placed("J2", 14, 16), is_pinned=True)

    one = left_out(job("J1", after=frozenset({"J2"})), pinned)

    assert (one.reason, one.names) == (Reason.BEFORE_STANDING, ("J2",))


def test_a_full_window_says_what_is_asked_and_there_and_who_took_it():
    crews = [crew(people=2)]
    urgent = [job(f"U{n}", minutes=300, people=2, weight=9) for n in (1, 2)]

    one = left_out(job("A", people=2, weight=3), *urgent, crews=crews)

    assert one.reason == Reason.FULL
    # Ten hours of two people, and two more hours of two.
    assert (one.asked, one.there) == (24 * 60, 20 * 60)
    assert one.names == ("U1", "U2")


def test_only_those_at_least_as_urgent_are_named_for_a_full_window():
    crews, windows = [crew(people=1)], [window("W", 6, 10)]
    less = job("B", minutes=240, weight=3, placed=placed("B", 6, 10), is_pinned=True)
    more = job("A", weight=9)

    one = left_out(more, less, crews=crews, windows=windows)

    assert (one.reason, one.names) == (Reason.FULL, ())


def test_of_two_jobs_that_do_not_both_fit_the_more_urgent_is_placed():
    one = left_out(
        job("A", minutes=240, weight=3),
        job("B", minutes=240, weight=9),
        crews=[crew(people=1)],
        windows=[window("W", 6, 10)],
    )

    assert one.reason == Reason.FULL


def test_two_late_jobs_are_better_than_one_left_out():
    jobs = [job(key, minutes=120, latest=at(8)) for key in ("A", "B")]
    windows, crews = [window("W", 6, 7), window("V", 8, 12)], [crew(people=1)]

    proposal = proposal_of(*jobs, windows=windows, crews=crews)

    assert proposal.left_out == ()
    assert proposal.objectives[0].value == 2


def test_a_job_without_isolation_goes_into_a_shift_and_no_window():
    proposal = proposal_of(job(isolation=None, conveyor="Q99"), crews=[crew(overtime_minutes=60)])

    place = proposal.placements["C1"]
    assert (place.window, place.span) == (None, span(6, 8))


def test_a_job_without_isolation_is_not_put_into_overtime():
    crews = [crew(overtime_minutes=120, shifts=(span(6, 7),))]

    assert left_out(job(isolation=None), crews=crews).reason == Reason.NO_SHIFT


def test_pins_that_clash_stay_and_are_told():
    pins = [job(key, people=2, placed=placed(key, 8, 10), is_pinned=True) for key in ("A", "B")]

    proposal = proposal_of(job("C"), *pins)

    assert proposal.placements["A"] == pins[0].placed
    assert {(one.job, one.kind) for one in proposal.clashes} == {
        ("A", ClashKind.TOO_FEW_PEOPLE),
        ("B", ClashKind.TOO_FEW_PEOPLE),
    }
    # Nobody is left beside them.
    assert not proposal.placements["C"].span.shared_with(span(8, 10))


def test_a_pin_nobody_is_there_for_stays_too():
    pin = job("A", placed=placed("A", 19, 20, crew="gone", window="off"), is_pinned=True)

    proposal = proposal_of(job("B"), pin)

    assert set(proposal.placements) == {"A", "B"}
    assert {one.kind for one in proposal.clashes} >= {
        ClashKind.CREW_UNKNOWN,
        ClashKind.WINDOW_UNKNOWN,
    }


def test_jobs_share_an_isolation_where_they_can():
    jobs = [job(key, minutes=60) for key in "ABC"]
    windows = [window("W", 6, 9), window("V", 30, 33)]

    proposal = proposal_of(*jobs, windows=windows, crews=[crew(shifts=(span(6, 9), span(30, 33)))])

    assert len({place.window for place in proposal.placements.values()}) == 1


def test_one_isolation_is_worth_overtime():
    jobs = [job(key, minutes=120, people=1) for key in "AB"]
    windows = [window("W", 6, 10), window("V", 30, 34)]
    crews = [crew(people=1, shifts=(span(6, 9), span(30, 33)), overtime_minutes=60)]

    proposal = proposal_of(*jobs, windows=windows, crews=crews)

    assert [one.value for one in proposal.objectives][:3] == [0, 1, 60]


def test_work_under_way_at_the_beginning_stands():
    begun = job("A", placed=placed("A", 5, 7, window="W"))
    proposal = propose(plan(jobs=[begun], windows=[window("W", 4, 16)]), span(6, 48))

    assert proposal.placements["A"] == begun.placed


def test_what_was_planned_for_the_past_gets_a_new_place():
    missed = job("A", placed=placed("A", 1, 3))
    proposal = propose(plan(jobs=[missed]), span(6, 48))

    assert proposal.placements["A"].span == span(6, 8)
    assert proposal.stability.placed == 0


def test_absence_leaves_fewer_people_for_the_time_it_lasts():
    away = crew(people=2, absences=(Absence(span(6, 9), 1),))

    proposal = proposal_of(job(people=2), crews=[away])

    assert proposal.placements["C1"].span.starts == at(9)


def test_nothing_to_place_is_an_empty_proposal():
    proposal = propose(replace(plan(), jobs={}), HORIZON)

    assert (dict(proposal.placements), proposal.left_out) == ({}, ())
    assert all(one.is_proved for one in proposal.objectives)


@pytest.mark.parametrize("from_scratch", [False, True])
def test_a_job_may_stay_where_it_stands(from_scratch):
    here = job("A", placed=placed("A", 12, 14))

    proposal = propose(plan(jobs=[here]), HORIZON, from_scratch=from_scratch)

    assert proposal.placements["A"] == here.placed
    assert proposal.stability.moved == 0
