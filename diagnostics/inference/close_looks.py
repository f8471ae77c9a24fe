"""Findings: a close inspection of a component that said yes or no to one cause."""

import math

import numpy as np

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import Evidence, FindingFact
from diagnostics.inference.places import Places
from diagnostics.mechanics.nodes import Floats

# A close inspection is right so many times oftener than wrong; engineering judgement.
FINDING_RATIO = 30.0


def log_findings(
    cause: Cause, evidence: Evidence, places: Places | None, size: int
) -> tuple[Floats, ...]:
    """What each finding of the case says of the cause at each of its places.

    Returns
    -------
    tuple of array, each of shape (size,)
        In step with the evidence's findings: log ratio, 0 where a finding says nothing.
    """
    nothing = np.zeros(size)
    return tuple(
        nothing + _log_ratio(finding) * _at_component(finding, evidence, places)
        if finding.cause == cause.slug
        else nothing
        for finding in evidence.findings
    )


def _log_ratio(finding: FindingFact) -> float:
    return math.log(FINDING_RATIO) * (1 if finding.is_present else -1)


def _at_component(
    finding: FindingFact, evidence: Evidence, places: Places | None
) -> Floats | float:
    """1 where the finding was made, 0 elsewhere; 1 throughout when it names no component."""
    if finding.component is None or places is None:
        return 1.0
    station = evidence.conveyor.loop.station_named(finding.component)
    if station is None:
        return 1.0
    here = station.position_m
    inside = (places.from_m - 1e-6 <= here) & (here <= places.to_m + 1e-6)
    return inside.astype(float)
