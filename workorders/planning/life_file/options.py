"""What is asked about a file of lives, as texts from a command line."""

from workorders.planning.age_replacement import LEAST_COST_RATIO
from workorders.planning.life_file.report import Costs
from workorders.planning.life_file.rows import LifeFileError, number_in, shown

_PLANNED, _FAILURE = "--planned-cost", "--failure-cost"


def read_costs(planned: str | None, failure: str | None) -> Costs | None:
    """Both costs, or neither; LifeFileError names the option that is missing or no cost."""
    if planned is None and failure is None:
        return None
    costs = Costs(_cost(_PLANNED, planned), _cost(_FAILURE, failure))
    if costs.planned < LEAST_COST_RATIO * costs.failure:
        raise LifeFileError(f"{_PLANNED}: must be at least 1e-12 of {_FAILURE}.")
    return costs


def read_level(text: str) -> float:
    level = number_in(text.strip())
    if level is None or not 0 < level < 1:
        raise LifeFileError(f"--level: must be between 0 and 1, as 0.90; got {shown(text)}.")
    return level


def _cost(option: str, text: str | None) -> float:
    if text is None:
        other = _FAILURE if option == _PLANNED else _PLANNED
        raise LifeFileError(f"{option}: missing; it is needed beside {other}.")
    cost = number_in(text.strip())
    if cost is None or not 0 < cost < float("inf"):
        raise LifeFileError(f"{option}: must be a number above 0; got {shown(text)}.")
    return cost
