"""300 jobs, 12 windows, 6 crews: what is reached of each aim in 20 s on two cores, and the gaps.

Printed, not asserted, but for what must hold however slow the machine is.
"""

import os
import time
from dataclasses import replace

import pytest

from tests.workorders.planning.outages import instance_file
from workorders.planning.outages.clashes import ClashKind, clashes_of
from workorders.planning.outages.plan import Absence, Plan, Span
from workorders.planning.outages.proposal import Proposal, propose

pytestmark = pytest.mark.bench
TARGET_S = 20


def worked_out(name: str, plan: Plan, horizon: Span) -> Proposal:
    begun_s, busy_s = time.perf_counter(), time.process_time()
    proposal = propose(plan, horizon)
    took_s, busy_s = time.perf_counter() - begun_s, time.process_time() - busy_s
    cores = busy_s / took_s
    print(f"\n{name}: {took_s:.1f} s of {TARGET_S} s, {cores:.1f} of {os.cpu_count()} cores had")
    for one in proposal.objectives:
        print(f"  {one.aim.value:<11}{one.value:>6}, at least {one.bound:>6}, gap {one.gap:.1%}")
    print(f"  {len(proposal.placements)} placed, {len(proposal.left_out)} left out")
    print(f"  {proposal.stability}")
    return proposal


def taken(plan: Plan, proposal: Proposal) -> Plan:
    jobs = {
        key: replace(one, placed=proposal.placements.get(key)) for key, one in plan.jobs.items()
    }
    return replace(plan, jobs=jobs, placements=proposal.placements)


def wrong(plan: Plan, proposal: Proposal) -> list:
    clashes = clashes_of(replace(plan, placements=proposal.placements))
    return [
        one
        for one in clashes
        if one.kind is not ClashKind.AFTER_LATEST and not plan.jobs[one.job].is_pinned
    ]


def test_a_month_of_forty_belts_and_what_comes_after():
    plan, horizon = instance_file.read(instance_file.FILE.read_text())

    first = worked_out("A first plan", plan, horizon)
    standing = taken(plan, first)
    again = worked_out("Again, nothing changed", standing, horizon)
    window = standing.windows["N-2"]
    later = Span(window.span.starts + 1440, window.span.ends + 1440)
    windows = {**standing.windows, "N-2": replace(window, span=later)}
    moved = worked_out("A window a day later", replace(standing, windows=windows), horizon)
    crew, day = standing.crews["Day fitters"], standing.windows["E-2"].span
    away = replace(crew, absences=(*crew.absences, Absence(day, 3)))
    crews = {**standing.crews, "Day fitters": away}
    short = worked_out("Three fitters away", replace(standing, crews=crews), horizon)

    assert wrong(plan, first) == []
    for proposal in (again, moved, short):
        stability = proposal.stability
        assert stability.moved <= max(stability.allowed, stability.forced) or stability.raised_for
