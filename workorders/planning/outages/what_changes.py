"""What a move would change: the plan with a job put elsewhere or taken off, and the new clashes."""

from collections.abc import Iterable
from dataclasses import replace

from workorders.planning.outages.clashes import Clash, ClashKind
from workorders.planning.outages.plan import Placement, Plan

# These are about a certain minute: at another one they are another clash.
_OF_A_MINUTE = {ClashKind.TOO_FEW_PEOPLE, ClashKind.CREW_AWAY}


def put(plan: Plan, placement: Placement) -> Plan:
    """The same plan with one job placed there, wherever it stood before.

    Parameters
    ----------
    plan : Plan
        Knows the job.
    placement : Placement

    Returns
    -------
    Plan

    Raises
    ------
    KeyError
        The plan does not know the job.
    """
    job = replace(plan.jobs[placement.job], placed=placement)
    return replace(
        plan,
        jobs={**plan.jobs, job.key: job},
        placements={**plan.placements, job.key: placement},
    )


def taken_off(plan: Plan, job: str) -> Plan:
    """The same plan with a job standing nowhere."""
    rest = {key: one for key, one in plan.placements.items() if key != job}
    return replace(
        plan, jobs={**plan.jobs, job: replace(plan.jobs[job], placed=None)}, placements=rest
    )


def added(before: Iterable[Clash], after: Iterable[Clash]) -> tuple[Clash, ...]:
    """Those clashes that were not there before; one that only grew is not new.

    Parameters
    ----------
    before, after : iterable of Clash
        Of the plan before and after a change.

    Returns
    -------
    tuple of Clash
        In the order of `after`.
    """
    known = {_sign(one) for one in before}
    return tuple(one for one in after if _sign(one) not in known)


def _sign(clash: Clash) -> tuple[object, ...]:
    at = clash.at if clash.kind in _OF_A_MINUTE else None
    return clash.kind, clash.job, clash.other, clash.names if at is None else (), at
