"""Each clash is found where it is, with the figures that explain it, and nowhere else."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings

from tests.workorders.planning.outages.small_plans import (
    any_plans,
    at,
    crew,
    job,
    mirrored,
    placed,
    plan,
    span,
    window,
)
from workorders.planning.outages.clashes import Clash, ClashKind, clashes_of
from workorders.planning.outages.plan import Absence, Plan

MIRROR_OF = {
    ClashKind.BEFORE_EARLIEST: ClashKind.AFTER_LATEST,
    ClashKind.AFTER_LATEST: ClashKind.BEFORE_EARLIEST,
}


def _only(whole: Plan) -> Clash:
    (clash,) = clashes_of(whole)
    return clash


def test_a_job_well_placed_clashes_with_nothing():
    assert clashes_of(plan(placed())) == ()


def test_a_job_that_fills_its_window_to_the_minute_is_inside_it():
    assert clashes_of(plan(placed("C1", 6, 16))) == ()


@pytest.mark.parametrize(
    ("starts", "ends", "minutes", "late", "limit"),
    [
        (14, 16 + 40 / 60, 40, 40, 16),
        (6 - 0.25, 8, 15, 0, 6),
        (5, 17, 120, 60, 16),
        (17, 18, 60, 60, 16),
    ],
)
def test_a_job_outside_its_window_says_by_how_much(starts, ends, minutes, late, limit):
    all_day = crew(shifts=(span(0, 24),))

    clash = _only(plan(placed("C1", starts, ends), crews=[all_day]))

    assert clash == Clash(
        ClashKind.OUTSIDE_WINDOW,
        "C1",
        other="W",
        minutes=minutes,
        late_minutes=late,
        at=at(limit),
    )


def test_a_window_of_another_belt_is_named():
    clash = _only(plan(placed(), windows=[window("W", 6, 16, "Q31")]))

    assert (clash.kind, clash.other) == (ClashKind.WINDOW_OF_OTHERS, "W")


def test_a_window_that_was_called_off_is_unknown():
    clash = _only(plan(placed(), windows=[]))

    assert (clash.kind, clash.other) == (ClashKind.WINDOW_UNKNOWN, "W")


def test_work_on_a_locked_belt_needs_a_window_and_other_work_does_not():
    assert _only(plan(placed(window=None))).kind == ClashKind.NEEDS_WINDOW
    assert clashes_of(plan(placed(window=None), jobs=[job(isolation=None)])) == ()


def test_a_crew_that_is_gone_is_named():
    clash = _only(plan(placed(), crews=[]))

    assert (clash.kind, clash.other) == (ClashKind.CREW_UNKNOWN, "day")


def test_overtime_is_no_clash_and_what_goes_beyond_it_is():
    short = crew(shifts=(span(6, 9),), overtime_minutes=60)

    assert clashes_of(plan(placed("C1", 8, 10), crews=[short])) == ()
    beyond = _only(plan(placed("C1", 8, 10.5), crews=[short]))
    assert (beyond.kind, beyond.minutes) == (ClashKind.OUTSIDE_SHIFT, 30)


def test_there_is_no_overtime_before_a_shift():
    late = crew(shifts=(span(9, 18),), overtime_minutes=60)

    clash = _only(plan(placed("C1", 8, 10), crews=[late]))

    assert (clash.kind, clash.minutes) == (ClashKind.OUTSIDE_SHIFT, 60)


def test_skills_that_lack_are_named():
    clash = _only(plan(placed(), jobs=[job(skills=frozenset({"welder", "mechanic", "rigger"}))]))

    assert (clash.kind, clash.names) == (ClashKind.LACKS_SKILL, ("rigger", "welder"))


def test_too_few_people_is_told_to_each_job_with_the_minute_and_the_others():
    jobs = [job("C1", people=2), job("C2", people=2), job("C3")]
    whole = plan(placed("C1", 8, 10), placed("C2", 9, 11), placed("C3", 12, 14), jobs=jobs)

    clashes = clashes_of(whole)

    assert [one.job for one in clashes] == ["C1", "C2"]
    for clash in clashes:
        assert clash.kind == ClashKind.TOO_FEW_PEOPLE
        assert (clash.at, clash.minutes) == (at(9), 60)
        assert (clash.asked, clash.there, clash.names) == (4, 3, ("C1", "C2"))


def test_one_job_after_the_other_shares_no_people():
    jobs = [job("C1", people=3), job("C2", people=3)]

    assert clashes_of(plan(placed("C1", 8, 10), placed("C2", 10, 12), jobs=jobs)) == ()


def test_a_crew_partly_away_clashes_only_while_it_is_away():
    short = crew(absences=(Absence(span(9, 12), 2),))
    jobs = [job(people=2)]

    assert clashes_of(plan(placed("C1", 12, 14), jobs=jobs, crews=[short])) == ()
    clash = _only(plan(placed("C1", 8, 10), jobs=jobs, crews=[short]))
    assert (clash.kind, clash.asked, clash.there) == (ClashKind.CREW_AWAY, 2, 1)
    assert (clash.at, clash.minutes) == (at(9), 60)


def test_dates_clash_by_as_much_as_they_are_missed():
    early = job(earliest=at(9))
    parts = job(parts_on=at(24))
    late = job(latest=at(9))

    for one, kind, minutes, limit in (
        (early, ClashKind.BEFORE_EARLIEST, 60, 9),
        (parts, ClashKind.BEFORE_PARTS, 16 * 60, 24),
        (late, ClashKind.AFTER_LATEST, 60, 9),
    ):
        clash = _only(plan(placed("C1", 8, 10), jobs=[one]))
        assert (clash.kind, clash.minutes, clash.at) == (kind, minutes, at(limit))


def test_dates_met_to_the_minute_do_not_clash():
    exact = job(earliest=at(8), parts_on=at(8), latest=at(10))

    assert clashes_of(plan(placed("C1", 8, 10), jobs=[exact])) == ()


def test_missing_parts_and_a_held_order_say_what_the_job_says():
    one = job(parts_missing="2 rolls 159", held="waits for an outage")

    clashes = clashes_of(plan(placed(), jobs=[one]))

    assert [(clash.kind, clash.why) for clash in clashes] == [
        (ClashKind.HELD, "waits for an outage"),
        (ClashKind.PARTS_MISSING, "2 rolls 159"),
    ]


def test_a_job_waits_for_the_end_of_the_one_before_it():
    jobs = [job("C1"), job("C2", after=frozenset({"C1"}))]

    assert clashes_of(plan(placed("C1", 8, 10), placed("C2", 10, 12), jobs=jobs)) == ()
    clash = _only(plan(placed("C1", 8, 10), placed("C2", 9, 11), jobs=jobs))
    assert (clash.kind, clash.job, clash.other) == (ClashKind.BEFORE_PREDECESSOR, "C2", "C1")
    assert (clash.minutes, clash.at) == (60, at(10))


def test_a_job_whose_predecessor_has_no_place_clashes_and_one_that_is_not_planned_does_not():
    later = job("C2", after=frozenset({"C1"}))

    clash = _only(plan(placed("C2"), jobs=[job("C1"), later]))

    assert (clash.kind, clash.other, clash.at) == (ClashKind.BEFORE_PREDECESSOR, "C1", None)
    assert clashes_of(plan(placed("C2"), jobs=[later])) == ()


@settings(deadline=None)
@given(any_plans())
def test_a_plan_without_placements_has_no_clash(whole):
    assert clashes_of(replace(whole, placements={})) == ()


@settings(deadline=None)
@given(any_plans())
def test_moving_a_job_by_nothing_changes_nothing(whole):
    same = {key: replace(one, span=replace(one.span)) for key, one in whole.placements.items()}

    assert clashes_of(replace(whole, placements=same)) == clashes_of(whole)


@settings(deadline=None)
@given(any_plans())
def test_time_running_backwards_swaps_before_and_after_and_keeps_every_other_clash(whole):
    def counted(one: Plan, swap: bool) -> Counter:
        # A predecessor without a place is no matter of time: mirrored, nobody waits for it.
        return Counter(
            (MIRROR_OF.get(clash.kind, clash.kind) if swap else clash.kind, clash.minutes)
            for clash in clashes_of(one)
            if clash.kind != ClashKind.BEFORE_PREDECESSOR or clash.at is not None
        )

    assert counted(mirrored(whole), swap=True) == counted(whole, swap=False)


@settings(deadline=None)
@given(any_plans())
def test_taking_a_job_off_leaves_no_clash_of_it_and_makes_no_crowd_bigger(whole):
    crowding = {ClashKind.TOO_FEW_PEOPLE, ClashKind.CREW_AWAY}
    before = sum(one.kind in crowding for one in clashes_of(whole))
    for key in whole.placements:
        rest = {other: one for other, one in whole.placements.items() if other != key}

        after = clashes_of(replace(whole, placements=rest))

        assert key not in {one.job for one in after}
        assert sum(one.kind in crowding for one in after) <= before
