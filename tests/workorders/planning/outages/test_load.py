"""Load against capacity in people-minutes."""

from hypothesis import given, settings

from tests.workorders.planning.outages.small_plans import (
    any_plans,
    crew,
    job,
    placed,
    plan,
    span,
    window,
)
from workorders.planning.outages import load
from workorders.planning.outages.crew_hours import cover_of
from workorders.planning.outages.plan import Absence


def test_a_window_holds_its_crews_people_times_minutes_less_who_is_away():
    away = crew(people=3, absences=(Absence(span(6, 8), 1), Absence(span(15, 30), 3)))
    jobs = [job(people=2)]

    (found,) = load.window_loads(plan(placed("C1", 8, 10), jobs=jobs, crews=[away]))

    # 6 to 8 two people, 8 to 15 three, 15 to 16 nobody.
    assert found.there == 2 * 120 + 3 * 420
    assert (found.used, found.overtime, found.elsewhere) == (240, 0, 0)
    assert not found.is_over


def test_work_after_the_shift_is_counted_as_overtime():
    short = crew(shifts=(span(6, 9),), overtime_minutes=120)

    (found,) = load.window_loads(plan(placed("C1", 8, 10), jobs=[job(people=3)], crews=[short]))

    assert (found.used, found.there, found.overtime) == (360, 540, 180)


def test_jobs_elsewhere_take_from_the_same_crew_while_the_window_is_open():
    whole = plan(
        placed("C1", 8, 10),
        placed("C2", 15, 18, window="V"),
        windows=[window(), window("V", 12, 20)],
        crews=[crew(people=1)],
    )

    here, there = load.window_loads(whole)

    assert (here.used, here.elsewhere, here.there) == (120, 60, 600)
    assert (there.used, there.elsewhere, there.there) == (180, 0, 360)


def test_a_crew_not_at_work_in_a_window_has_no_line_unless_a_job_stands_there():
    night = crew("night", shifts=(span(18, 30),))

    assert load.window_loads(plan(crews=[night])) == ()
    (found,) = load.window_loads(plan(placed("C1", 8, 10, crew="night"), crews=[night]))
    assert (found.used, found.there, found.is_over) == (120, 0, True)


def test_a_crew_altogether_counts_work_in_and_out_of_windows():
    whole = plan(
        placed("C1", 8, 10),
        placed("C2", 16, 17, window=None),
        placed("C3", 30, 31, window=None),
    )

    (found,) = load.crew_loads(whole, span(0, 24))

    assert (found.window, found.used, found.there) == (None, 180, 3 * 720)


def test_shifts_that_meet_are_worked_through_and_a_gap_is_not():
    day_and_late = crew(shifts=(span(6, 14), span(14, 22)), overtime_minutes=30)

    cover = cover_of(day_and_late, span(13, 23))

    assert (cover.shift, cover.overtime, cover.neither) == (9 * 60, 30, 30)


@settings(deadline=None)
@given(any_plans())
def test_what_is_used_in_all_windows_and_out_of_them_is_what_was_placed(whole):
    placed_minutes = sum(
        whole.jobs[one.job].people * one.span.minutes for one in whole.placements.values()
    )
    out = sum(
        whole.jobs[one.job].people * one.span.minutes
        for one in whole.placements.values()
        if one.window is None
    )

    assert sum(one.used for one in load.window_loads(whole)) + out == placed_minutes
    assert sum(one.used for one in load.crew_loads(whole, span(0, 99))) == placed_minutes


@settings(deadline=None)
@given(any_plans())
def test_the_parts_of_a_stretch_add_up(whole):
    for one in whole.placements.values():
        cover = cover_of(whole.crews[one.crew], one.span)

        assert cover.shift + cover.overtime + cover.neither == one.span.minutes
        assert min(cover.shift, cover.overtime, cover.neither) >= 0
