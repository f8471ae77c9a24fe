"""The kept instance of the bench is what its seed gives, and as large as it is said to be."""

from tests.workorders.planning.outages import instance_file
from tests.workorders.planning.outages.instance import make_plan
from workorders.planning.outages.clashes import ClashKind, clashes_of


def test_the_kept_instance_is_that_of_the_seed():
    assert instance_file.read(instance_file.FILE.read_text()) == make_plan()


def test_it_has_what_makes_plans_hard():
    plan, _horizon = make_plan()

    jobs = plan.jobs.values()
    assert (len(plan.jobs), len(plan.windows), len(plan.crews)) == (300, 12, 6)
    assert len({one.conveyor for one in jobs}) == 40
    for count in (
        sum(one.is_pinned for one in jobs),
        sum(bool(one.after) for one in jobs),
        sum(one.parts_on is not None for one in jobs),
        sum(one.latest is not None for one in jobs),
        sum(not one.needs_window for one in jobs),
    ):
        assert count >= 20


def test_its_pins_stand_where_they_can_but_for_a_few():
    plan, _horizon = make_plan()

    wrong = {one.job for one in clashes_of(plan) if one.kind is not ClashKind.AFTER_LATEST}

    assert len(wrong) <= 3
