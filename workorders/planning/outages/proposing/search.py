"""From aim to aim: the best plan so far, what is proved of it, and the time that is left."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from numpy.random import default_rng

from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposing.figures import Aim, figure_floor, figure_of
from workorders.planning.outages.proposing.greedy import filled, first_plan
from workorders.planning.outages.proposing.model import PlanModel
from workorders.planning.outages.proposing.parts import parts_of
from workorders.planning.outages.proposing.question import Question, narrowed
from workorders.planning.outages.proposing.shaking import shake
from workorders.planning.outages.proposing.solving import Progress, Tick, solve
from workorders.planning.outages.proposing.stability import (
    allowed_moves,
    homeless,
    limits_after,
    weight_of,
)
from workorders.planning.outages.proposing.watch import Watch

# Of the time that is left; what is not needed is there for what comes next.
SHARES = {Aim.LATE: 0.35, Aim.ISOLATIONS: 0.7, Aim.OVERTIME: 0.6, Aim.MOVES: 1.0}
_SHARE_OF_PLACING = 0.15
_SHARE_OF_SHAKING = 0.15
_SEED = 20
_SHARE_OF_FORCED = 0.1
_SHARE_OF_STEP = 0.12
# Of the time for one aim, what is spent part by part before all are solved together: to find
# better plans, then, of what is left, to prove what none can be under.
_SHARE_OF_PARTS = 0.4
_SHARE_OF_PROOF = 0.5
# Few parts are worth it; many small ones would spend the time on building models.
_MOST_PARTS = 12
_LEAST_S = 0.05


@dataclass(frozen=True)
class Objective:
    """What was reached of one aim, and what no plan can be under while earlier aims are held."""

    aim: Aim
    value: int
    bound: int

    @property
    def gap(self) -> float:
        """Share of the value that a better plan might save."""
        return (self.value - self.bound) / self.value if self.value else 0.0

    @property
    def is_proved(self) -> bool:
        return self.bound == self.value


@dataclass
class Search:
    """`placed` is possible at every moment; nothing more is begun once somebody pressed stop."""

    question: Question
    tick: Tick
    watch: Watch
    placed: Mapping[str, Placement]
    is_stopped: bool = False
    _held: dict[Aim, int] = field(default_factory=dict)
    # By aim and part, what it adds at the least.
    _least: dict[Aim, dict[frozenset[str], int]] = field(default_factory=dict)

    @cached_property
    def _parts(self) -> list[frozenset[str]]:
        """None where there is one only, or too many to be worth it."""
        parts = parts_of(self.question)
        return parts if 1 < len(parts) <= _MOST_PARTS else []

    @property
    def left_s(self) -> float:
        return 0.0 if self.is_stopped else self.watch.left_s

    def improve(
        self, model: PlanModel, aim: Aim, share: float, limit: int | None = None
    ) -> Objective:
        """Solve one aim within a share of the time that is left, then hold what was reached."""
        bound = figure_floor(aim, self.question)
        until = self.watch.within(share)
        if aim is not Aim.MOVES and self.figure(aim) > bound:
            self._improve_parts(aim, until.within(_SHARE_OF_PARTS), limit)
            bound = max(bound, self._prove_parts(aim, until.within(_SHARE_OF_PROOF), limit))
        if self.figure(aim) > bound and not self.is_stopped:
            bound = max(bound, self._solve(model, aim, until) or bound)
        if aim is Aim.LATE:
            self.placed = filled(self.question, self.placed)
        value = self.figure(aim)
        model.hold(aim, value)
        reached = Objective(aim, value, bound)
        self.hold(reached)
        return reached

    def until(self, watch: Watch) -> Callable[[int], bool]:
        """For work that hears after each step whether it goes on; it tells the first aim's best."""

        def goes_on(late: int) -> bool:
            told = Progress(Aim.LATE, late, None)
            self.is_stopped = self.is_stopped or not self.tick(told)
            return not self.is_stopped and watch.left_s > 0

        return goes_on

    def shake(self, limit: int | None) -> None:
        """Where most jobs may move: with others there is little to win, and solving is sure."""
        if limit is None or len(self.question.present) < len(self.placed) / 2:
            goes_on = self.until(self.watch.within(_SHARE_OF_SHAKING))
            self.placed = shake(self.question, self.placed, goes_on, limit, default_rng(_SEED))

    def figure(self, aim: Aim) -> int:
        return figure_of(aim, self.question, self.placed)

    def hold(self, objective: Objective) -> None:
        self._held[objective.aim] = objective.value

    def forget(self, aim: Aim) -> None:
        """Hold it no more: it is solved again under other limits."""
        self._held.pop(aim, None)
        self._least.pop(aim, None)

    def _solve(self, model: PlanModel, aim: Aim, watch: Watch) -> int | None:
        if watch.left_s < _LEAST_S:
            return None
        best = self.figure(aim)
        model.hint(self.placed)
        found = solve(model, aim, most_s=watch.left_s, tick=self.tick, best=best)
        self.is_stopped = self.is_stopped or found.is_stopped
        if found.placed is not None and figure_of(aim, self.question, found.placed) <= best:
            self.placed = found.placed
        return found.bound

    def _improve_parts(self, aim: Aim, watch: Watch, limit: int | None) -> None:
        """Part by part, while the others stand still."""
        for place, keys in enumerate(self._parts):
            if not self.is_stopped:
                self._improve_part(aim, keys, watch.within(1 / (len(self._parts) - place)), limit)

    def _prove_parts(self, aim: Aim, watch: Watch, limit: int | None) -> int:
        """What no plan can be under, even if each part had all people for itself."""
        least = {}
        for place, keys in enumerate(self._parts):
            if not self.is_stopped:
                part = watch.within(1 / (len(self._parts) - place))
                least[keys] = self._least_of_part(aim, keys, part, limit)
        self._least[aim] = least
        return figure_floor(aim, self.question) + sum(least.values())

    def _least_of_part(
        self, aim: Aim, keys: frozenset[str], watch: Watch, limit: int | None
    ) -> int:
        """What a part adds to the figure at the least, were there no other jobs to be placed."""
        alone = narrowed(self.question, {}, keys)
        mine = {key: place for key, place in self.placed.items() if key in keys}
        if limit is not None:
            # Those left out here count as moved.
            limit += len(alone.present) - sum(key in keys for key in alone.present)
        model = PlanModel(alone, limit)
        for earlier, most in self._held.items():
            others = sum(n for part, n in self._least.get(earlier, {}).items() if part != keys)
            room = most - figure_floor(earlier, self.question) - others
            model.hold(earlier, figure_floor(earlier, alone) + room)
        inner = Search(alone, lambda told: self.tick(replace(told, bound=None)), watch, mine)
        bound = inner._solve(model, aim, watch)
        self.is_stopped = inner.is_stopped
        return max(0, (bound or 0) - figure_floor(aim, alone))

    def _improve_part(
        self, aim: Aim, keys: frozenset[str], watch: Watch, limit: int | None
    ) -> None:
        part = narrowed(self.question, self.placed, keys)
        mine = {key: place for key, place in self.placed.items() if key in keys}
        others = {key: place for key, place in self.placed.items() if key not in keys}
        if limit is not None:
            limit -= self.figure(Aim.MOVES) - figure_of(Aim.MOVES, part, mine)
        model = PlanModel(part, limit)
        for earlier, most in self._held.items():
            model.hold(earlier, most)
        # What is proved while the others stand still is not proved of the whole.
        inner = Search(part, lambda told: self.tick(replace(told, bound=None)), watch, mine)
        inner._solve(model, aim, watch)
        self.placed = {**others, **inner.placed}
        self.is_stopped = inner.is_stopped


def begin(question: Question, *, from_scratch: bool, watch: Watch, tick: Tick) -> Search:
    """With a first plan: of what stands as much as may stay, or the better of both beginnings."""
    search = Search(question, tick, watch, {})
    aims = (Aim.LATE, Aim.ISOLATIONS, Aim.OVERTIME, Aim.MOVES)
    if not from_scratch:
        aims = (Aim.MOVES, Aim.LATE, Aim.ISOLATIONS, Aim.OVERTIME)
    goes_on = search.until(watch.within(_SHARE_OF_PLACING))
    plans = [first_plan(question, aims, keep=True, goes_on=goes_on)]
    if from_scratch and question.present:
        plans.append(first_plan(question, aims, keep=False, goes_on=goes_on))
    search.placed = min(
        plans, key=lambda placed: [figure_of(aim, question, placed) for aim in aims]
    )
    return search


def fewest_moves(search: Search) -> int:
    """How many of the jobs that stand cannot stay, whatever becomes of the others."""
    question = search.question
    if search.figure(Aim.MOVES) == len(question.present) - len(question.present_slots):
        # Only those move that cannot stay by themselves.
        return search.figure(Aim.MOVES)
    first = search.placed
    forced = search.improve(PlanModel(question), Aim.MOVES, _SHARE_OF_FORCED).value
    search.forget(Aim.MOVES)
    if figure_of(Aim.MOVES, question, first) <= max(forced, allowed_moves(question)):
        search.placed = first
    else:
        search.placed = filled(question, search.placed)
    return forced


@dataclass(frozen=True)
class LeastLate:
    """The model in which it is held, and how many moves that was allowed."""

    model: PlanModel
    objective: Objective
    limit: int | None
    raised_for: tuple[str, ...] = ()


def least_late(search: Search, forced: int, limit: int | None) -> LeastLate:
    """The first aim; the limit of moves is raised where jobs that lost their place need it."""
    question = search.question
    model = PlanModel(question, limit)
    best = LeastLate(model, search.improve(model, Aim.LATE, SHARES[Aim.LATE], limit), limit)
    lost = homeless(question, search.placed) if forced else []
    if limit is None or not lost:
        return best
    for step in limits_after(question, forced, limit):
        before = search.placed
        if not homeless(question, before) or not search.left_s:
            break
        wider = PlanModel(question, step)
        search.forget(Aim.LATE)
        late = search.improve(wider, Aim.LATE, _SHARE_OF_STEP, step)
        if _lost_weight(question, search.placed) < _lost_weight(question, before):
            again = tuple(key for key in lost if key in search.placed)
            best = LeastLate(wider, late, step, again)
        else:
            search.placed = before
    search.hold(best.objective)
    return best


def _lost_weight(question: Question, placed: Mapping[str, Placement]) -> int:
    return weight_of(question, homeless(question, placed))
