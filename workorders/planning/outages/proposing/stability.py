"""How much of a plan that stands may move when it is worked out again.

At most one in twenty of the unpinned jobs that have a place moves, unless feasibility needs more:

- What cannot stay moves: its window is gone or moved, its crew is away, lacks the skill, or works
  no longer then. The fewest such moves are looked for first (`forced`), and when they are more than
  one in twenty they are the limit instead, so that for their sake nothing else moves.
- A job that lost its place so and would be left out may make others move: the limit is raised
  step by step, and a step is kept only when more of these jobs, by weight, have a place again.

Being late is no such need, nor is a new job that finds no room: it takes part within the limit. A
planner who wants the best plan whatever moves asks for one from scratch.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposing.question import Question

SHARE = 0.05
# Of all that have a place, beyond what is forced.
_STEPS = (0.05, 0.10, 0.20, 0.50, 1.0)


@dataclass(frozen=True)
class Stability:
    """What moved of the plan that stood, and why so much.

    Attributes
    ----------
    placed : int
        Unpinned jobs with a place in the horizon, before.
    moved : int
        Those of them that stand elsewhere now, or nowhere.
    allowed : int
        One in twenty of them, rounded down.
    forced : int
        The fewest moves found with which a plan is possible at all.
    limit : int or None
        What was kept to in the end; None: from scratch, anything might move.
    raised_for : tuple of str
        Jobs that lost their place and have one again because the limit was raised.
    """

    placed: int
    moved: int
    allowed: int
    forced: int
    limit: int | None
    raised_for: tuple[str, ...] = ()


def allowed_moves(question: Question) -> int:
    return int(SHARE * len(question.present) + 1e-9)


def limits_after(question: Question, forced: int, limit: int) -> Iterator[int]:
    """The next limits to try, each higher than the one before."""
    most = len(question.present)
    for share in _STEPS:
        step = min(most, forced + int(share * most + 1e-9))
        if step > limit:
            yield step
            limit = step


def homeless(question: Question, placed: Mapping[str, Placement]) -> list[str]:
    """Jobs that had a place, have none now, and could go somewhere as far as themselves go."""
    return sorted(key for key in question.present if key not in placed and question.slots[key])


def weight_of(question: Question, keys: list[str]) -> int:
    return sum(question.free[key].weight for key in keys)
