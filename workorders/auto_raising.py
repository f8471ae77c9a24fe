"""When a diagnosis is sure enough, and the trouble bad enough, to propose work by itself; pure."""

from dataclasses import dataclass

from workorders.urgency import Urgency

# Most urgent first.
_ORDER = list(Urgency)


@dataclass(frozen=True)
class SetPoint:
    """A plant's setting: from which probability on, and at which urgency at least."""

    is_on: bool
    probability: float
    least_urgency: Urgency


def is_at_least(urgency: Urgency, least: Urgency) -> bool:
    return _ORDER.index(urgency) <= _ORDER.index(least)


def is_sure_enough(probability: float | None, wanted: SetPoint) -> bool:
    """Whether the setting is on and a suspicion reaches its probability."""
    return wanted.is_on and probability is not None and probability >= wanted.probability
