"""From aim to aim: the best plan so far, what is proved of it, and the time that is left."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposing.figures import Aim, figure_of
from workorders.planning.outages.proposing.model import PlanModel
from workorders.planning.outages.proposing.question import Question
from workorders.planning.outages.proposing.solving import Tick, solve


@dataclass(frozen=True)
class Objective:
    """What was reached of one aim, and what no plan can be under while earlier aims are held."""

    aim: Aim
    value: int
    bound: int | None

    @property
    def gap(self) -> float | None:
        """Share of the value that a better plan might save; None when nothing was proved."""
        if self.bound is None:
            return None
        return (self.value - self.bound) / self.value if self.value else 0.0

    @property
    def is_proved(self) -> bool:
        return self.bound == self.value


@dataclass
class Search:
    """`placed` is possible at every moment; nothing more is begun once somebody pressed stop."""

    question: Question
    tick: Tick
    seconds: float
    placed: Mapping[str, Placement]
    is_stopped: bool = False
    took_s: float = 0.0
    objectives: dict[Aim, Objective] = field(default_factory=dict)

    @property
    def left_s(self) -> float:
        return max(0.0, self.seconds - self.took_s)

    def improve(self, model: PlanModel, aim: Aim, share: float) -> Objective:
        """Solve one aim within a share of the time that is left, then hold what was reached."""
        goal = model.aims[aim]
        at_first = figure_of(aim, self.question, self.placed)
        if isinstance(goal, int):
            # No variable has a say.
            return Objective(aim, at_first, goal)
        bound = None
        if not self.is_stopped and self.left_s:
            bound = self._solve(model, aim, at_first, share * self.left_s)
        value = figure_of(aim, self.question, self.placed)
        model.hold(aim, value)
        return Objective(aim, value, bound)

    def _solve(self, model: PlanModel, aim: Aim, at_first: int, most_s: float) -> int | None:
        model.hint(self.placed)
        found = solve(
            model, aim, model.aims[aim], most_s=most_s, tick=self.tick, best=at_first
        )
        self.took_s += found.took_s
        self.is_stopped = self.is_stopped or found.is_stopped
        if found.placed is not None and figure_of(aim, self.question, found.placed) <= at_first:
            self.placed = found.placed
        return found.bound
