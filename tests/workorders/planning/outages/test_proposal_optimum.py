"""Proposals of small problems against the best of all plans there are."""

from dataclasses import replace

import pytest

from tests.workorders.planning.outages.every_plan import (
    HORIZON,
    best_of_all,
    fewest_moves,
    is_possible,
    small_problem,
    with_places,
    worth_of,
)
from workorders.planning.outages.plan import Absence
from workorders.planning.outages.proposal import Aim, propose


def values(proposal) -> tuple[int, ...]:
    return tuple(one.value for one in proposal.objectives)


def check(plan, **how) -> None:
    proposal = propose(plan, HORIZON, from_scratch=True, **how)

    assert is_possible(plan, dict(proposal.placements))
    assert values(proposal) == worth_of(plan, dict(proposal.placements)) == best_of_all(plan)
    assert all(one.is_proved for one in proposal.objectives)
    assert [one.aim for one in proposal.objectives] == list(Aim)


@pytest.mark.parametrize("seed", range(8))
def test_no_plan_is_better_than_the_one_proposed(seed):
    check(small_problem(seed))


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_is_better_where_some_jobs_have_a_place(seed):
    check(with_places(small_problem(seed), seed))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 150))
def test_no_plan_is_better_for_many_problems(seed):
    check(small_problem(seed, jobs=5))
    check(with_places(small_problem(seed), seed))


def broken(seed):
    """A plan that was possible until somebody of the day crew fell ill."""
    plan = with_places(small_problem(seed, jobs=5), seed)
    day = plan.crews["day"]
    away = Absence(HORIZON, 1)
    return replace(plan, crews={**plan.crews, "day": replace(day, absences=(away,))})


@pytest.mark.parametrize("seed", range(4))
def test_what_must_move_and_no_more_moves(seed):
    check_moves(broken(seed))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4, 44))
def test_what_must_move_and_no_more_moves_in_many_plans(seed):
    check_moves(broken(seed))


def check_moves(plan) -> None:
    proposal = propose(plan, HORIZON)

    stability = proposal.stability
    assert is_possible(plan, dict(proposal.placements))
    assert stability.forced == fewest_moves(plan)
    assert stability.moved == worth_of(plan, dict(proposal.placements))[3]
    if not stability.raised_for:
        # With so few jobs one in twenty is none.
        assert (stability.allowed, stability.limit) == (0, stability.forced)
        assert values(proposal) == best_of_all(plan, most_moves=stability.forced)
