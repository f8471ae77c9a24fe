"""What a move changes: where the job stands, and only the clashes that are new."""

from hypothesis import given, settings

from tests.workorders.planning.outages.small_plans import any_plans, crew, job, placed, plan
from workorders.planning.outages import what_changes
from workorders.planning.outages.clashes import ClashKind, clashes_of


def _added(whole, placement):
    after = what_changes.put(whole, placement)
    return what_changes.added(clashes_of(whole), clashes_of(after))


def test_a_move_into_the_free_adds_nothing_and_one_out_of_the_window_does():
    whole = plan(placed("C1", 8, 10))

    assert _added(whole, placed("C1", 12, 14)) == ()
    assert [one.kind for one in _added(whole, placed("C1", 15, 17))] == [ClashKind.OUTSIDE_WINDOW]


def test_what_stood_against_it_before_is_not_new():
    whole = plan(placed("C1", 8, 10), jobs=[job(held="waits")])

    assert _added(whole, placed("C1", 12, 14)) == ()


def test_breaking_anothers_place_is_new():
    jobs = [job("C1", people=2), job("C2", people=2)]
    whole = plan(placed("C1", 8, 10), placed("C2", 12, 14), jobs=jobs)

    added = _added(whole, placed("C1", 13, 15))

    assert {one.job for one in added} == {"C1", "C2"}
    assert {one.kind for one in added} == {ClashKind.TOO_FEW_PEOPLE}


def test_too_few_people_at_another_time_is_another_clash():
    whole = plan(
        placed("C1", 8, 10),
        placed("C2", 8, 10),
        placed("C3", 12, 14),
        crews=[crew(people=1)],
    )

    assert {one.job for one in _added(whole, placed("C1", 12, 14))} == {"C1", "C3"}


def test_what_is_taken_off_stands_nowhere():
    after = what_changes.taken_off(plan(placed("C1"), placed("C2")), "C1")

    assert set(after.placements) == {"C2"}
    assert after.jobs["C1"].placed is None


@settings(deadline=None)
@given(any_plans())
def test_putting_a_job_where_it_stands_adds_nothing(whole):
    for placement in whole.placements.values():
        assert _added(whole, placement) == ()
