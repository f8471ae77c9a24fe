"""A plan worked out again after one change: what moves, and why more than one in twenty may."""

from dataclasses import replace

import pytest

from tests.workorders.planning.outages.instance import HORIZON, make_plan
from tests.workorders.planning.outages.small_plans import at, crew, job, placed, plan, span, window
from workorders.planning.outages.clashes import ClashKind, clashes_of
from workorders.planning.outages.plan import Absence, Job, Plan, Span
from workorders.planning.outages.proposal import Proposal, propose

_DAY = 24 * 60


def taken(whole: Plan, proposal: Proposal) -> Plan:
    """With every job where the proposal puts it."""
    jobs = {
        key: replace(one, placed=proposal.placements.get(key)) for key, one in whole.jobs.items()
    }
    return replace(whole, jobs=jobs, placements=proposal.placements)


@pytest.fixture(scope="module")
def standing() -> Plan:
    """Sixty jobs, each where a proposal put it."""
    whole, horizon = make_plan(jobs=60)
    return taken(whole, propose(whole, horizon, seconds=1))


def moved(before: Plan, proposal: Proposal) -> list[str]:
    return [
        key
        for key, one in before.jobs.items()
        if one.placed and not one.is_pinned and proposal.placements.get(key) != one.placed
    ]


def cannot_stay(changed: Plan) -> set[str]:
    clashes = clashes_of(changed)
    return {one.job for one in clashes if one.kind is not ClashKind.AFTER_LATEST}


def again(changed: Plan) -> Proposal:
    return propose(changed, HORIZON, seconds=1)


def one_in_twenty(whole: Plan) -> int:
    return sum(1 for one in whole.jobs.values() if one.placed and not one.is_pinned) // 20


def test_nothing_changed_and_next_to_nothing_moves(standing):
    proposal = again(standing)

    assert len(moved(standing, proposal)) <= one_in_twenty(standing)
    assert set(proposal.placements) >= set(standing.placements)


@pytest.mark.parametrize("line", "NW")
def test_one_job_more_moves_at_most_one_in_twenty(standing, line):
    new = Job("NEW", f"{line}1", 480, 3, frozenset({"mechanic"}), 60, isolation=f"{line}1")
    changed = replace(standing, jobs={**standing.jobs, "NEW": new})

    proposal = again(changed)

    assert len(moved(changed, proposal)) <= one_in_twenty(changed)
    assert proposal.stability.raised_for == ()


@pytest.mark.parametrize("key", ["N-1", "W-3"])
def test_a_window_that_moves_takes_only_its_own_jobs_along(standing, key):
    window_now = standing.windows[key]
    span_later = Span(window_now.span.starts + _DAY, window_now.span.ends + _DAY)
    windows = {**standing.windows, key: replace(window_now, span=span_later)}
    changed = replace(standing, windows=windows)

    proposal = again(changed)

    most = max(len(cannot_stay(changed)), one_in_twenty(changed))
    assert len(moved(changed, proposal)) <= most or proposal.stability.raised_for


@pytest.mark.parametrize("key", ["Day fitters", "Riggers"])
def test_a_crew_that_is_away_moves_only_what_it_cannot_do(standing, key):
    fitters = standing.crews[key]
    week = Span(HORIZON.starts, HORIZON.starts + 7 * _DAY)
    away = replace(fitters, absences=(*fitters.absences, Absence(week, fitters.people - 1)))
    changed = replace(standing, crews={**standing.crews, key: away})

    proposal = again(changed)

    most = max(len(cannot_stay(changed)), one_in_twenty(changed))
    assert len(moved(changed, proposal)) <= most or proposal.stability.raised_for


def test_others_move_only_so_that_a_job_without_its_place_has_one_again():
    """Its window is gone, and the other one is full until somebody there makes room."""
    windows = [window("W", 6, 10), window("U", 30, 32, "Q31")]
    crews = [crew(people=1, shifts=(span(6, 10), span(30, 32)))]
    stays = job("B", minutes=240, placed=placed("B", 6, 10))
    may_wait = job("C", conveyor="Q31", isolation=None, placed=placed("C", 30, 32, window=None))
    lost = job(
        "A", conveyor="Q31", isolation="Q31", weight=9, placed=placed("A", 34, 36, window="gone")
    )

    proposal = propose(
        plan(windows=windows, crews=crews, jobs=[lost, stays, may_wait]), span(0, 40)
    )

    assert proposal.placements["A"].window == "U"
    assert proposal.placements["B"] == stays.placed
    assert proposal.stability.raised_for == ("A",)
    assert proposal.stability.moved == 2


def test_a_new_job_does_not_push_others_aside_beyond_the_limit():
    windows, crews = [window("W", 6, 10)], [crew(people=1)]
    stays = job("B", minutes=240, weight=1, placed=placed("B", 6, 10))
    whole = plan(windows=windows, crews=crews, jobs=[job("NEW", weight=27), stays])

    kept = propose(whole, span(0, 24))
    anew = propose(whole, span(0, 24), from_scratch=True)

    assert set(kept.placements) == {"B"}
    assert set(anew.placements) == {"NEW"}
    assert (kept.stability.limit, anew.stability.limit) == (0, None)


def test_pins_stay_even_from_scratch():
    whole, horizon = make_plan(jobs=60)
    pins = {key: one.placed for key, one in whole.jobs.items() if one.is_pinned}

    proposal = propose(whole, horizon, from_scratch=True, seconds=1)

    assert len(pins) > 5
    assert {key: proposal.placements[key] for key in pins} == pins


def test_a_job_longer_than_it_was_placed_for_cannot_stay():
    grew = job("A", minutes=180, placed=placed("A", 14, 16))

    proposal = propose(plan(jobs=[grew]), span(0, 24))

    assert proposal.placements["A"].span.minutes == 180
    assert proposal.placements["A"].span.ends <= at(16)
