"""What a case needs next, and whether this person can do it; knows no table."""

from dataclasses import dataclass
from enum import StrEnum

from diagnostics.case_states import OPEN_STATES, CaseState


class Step(StrEnum):
    GO_ON_WALKING = "go on walking"
    WALK = "walk the belt"
    LOOK_AGAIN = "look again"
    CONFIRM = "confirm the cause"
    WORK = "work"
    NOTHING = "nothing"


@dataclass(frozen=True)
class Standing:
    """How a case stands; `is_walking` means that this person has a walk-down unfinished."""

    state: CaseState
    is_walking: bool
    has_looks: bool
    has_diagnosis: bool
    is_sufficient: bool


def next_step(case: Standing) -> Step:
    """The one thing that brings the case on; the page asks whether the person may do it."""
    if case.state not in OPEN_STATES:
        return Step.NOTHING
    if case.is_walking:
        return Step.GO_ON_WALKING
    if case.state not in (CaseState.OPEN, CaseState.LOOKED_AT):
        return Step.WORK
    if not case.has_looks:
        return Step.WALK
    return Step.CONFIRM if case.has_diagnosis and case.is_sufficient else Step.LOOK_AGAIN
