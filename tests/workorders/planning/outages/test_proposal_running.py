"""A proposal while it is worked out: told about, stopped, out of time, worked out twice."""

from dataclasses import replace

import pytest

from tests.workorders.planning.outages import small_plans as small
from tests.workorders.planning.outages.every_plan import HORIZON as SMALL_HORIZON
from tests.workorders.planning.outages.every_plan import small_problem
from tests.workorders.planning.outages.instance import HORIZON, make_plan
from workorders.planning.outages.clashes import ClashKind, clashes_of
from workorders.planning.outages.plan import Plan
from workorders.planning.outages.proposal import Proposal, propose


@pytest.fixture(scope="module")
def large() -> Plan:
    return make_plan(jobs=120)[0]


def what_is_wrong(whole: Plan, proposal: Proposal) -> list:
    proposed = replace(whole, placements=proposal.placements)
    return [
        one
        for one in clashes_of(proposed)
        if one.kind is not ClashKind.AFTER_LATEST and not whole.jobs[one.job].is_pinned
    ]


def test_stop_gives_the_best_so_far_and_begins_nothing_more(large):
    told = []

    def stop(progress) -> bool:
        told.append(progress.aim)
        return False

    proposal = propose(large, HORIZON, tick=stop)

    assert proposal.is_stopped
    assert len(told) == 1
    assert what_is_wrong(large, proposal) == []
    assert len(proposal.placements) > 60
    assert all(one.bound <= one.value for one in proposal.objectives)


def test_without_time_the_plan_is_possible_and_its_gap_honest(large):
    proposal = propose(large, HORIZON, seconds=0.001)

    assert not proposal.is_stopped
    assert what_is_wrong(large, proposal) == []
    late = proposal.objectives[0]
    assert not late.is_proved
    assert 0 < late.gap <= 1


def test_progress_names_the_aim_its_best_and_its_bound(large):
    told = []

    propose(large, HORIZON, seconds=1, tick=lambda progress: told.append(progress) or True)

    assert told
    assert all(one.best is not None for one in told)
    assert all(one.bound is None or one.bound <= one.best for one in told)


def test_a_fault_while_telling_ends_the_work_and_is_told(large):
    def fail(_progress) -> bool:
        raise RuntimeError("the connection is gone")

    with pytest.raises(RuntimeError, match="the connection is gone"):
        propose(large, HORIZON, tick=fail)


@pytest.mark.parametrize("seed", [3, 7])
def test_worked_out_twice_it_is_as_good(seed):
    """Where every aim is proved; which of equal plans is found may differ."""
    problem = small_problem(seed, jobs=8)

    first, second = (propose(problem, SMALL_HORIZON) for _time in range(2))

    assert first.objectives == second.objectives
    assert all(one.is_proved for one in first.objectives)


def test_every_part_alone_proves_what_the_whole_cannot_be_under():
    """Two lines with a crew each: together the parts' least is the best there is."""
    windows = [small.window("W", 6, 8, "Q30"), small.window("V", 6, 8, "Q31")]
    crews = [small.crew("a", 1, skills={"a"}), small.crew("b", 1, skills={"b"})]
    jobs = [
        small.job(f"{belt}-{n}", conveyor=belt, isolation=belt, skills=frozenset({skill}), weight=3)
        for belt, skill in (("Q30", "a"), ("Q31", "b"))
        for n in (1, 2)
    ]

    proposal = propose(small.plan(windows=windows, crews=crews, jobs=jobs), SMALL_HORIZON)

    # On each line one job is left out, three times its weight.
    assert (proposal.objectives[0].value, proposal.objectives[0].bound) == (18, 18)
    assert len(proposal.left_out) == 2
