"""The question as a constraint model, and plans told to it and read from its solutions."""

from collections.abc import Callable, Mapping

from workorders.planning.outages.plan import Placement, Span
from workorders.planning.outages.proposing.choices import Clock, JobChoice, Var, choose
from workorders.planning.outages.proposing.figures import LEFT_OUT, Aim, figure_of
from workorders.planning.outages.proposing.grain import grain_of
from workorders.planning.outages.proposing.question import Question
from workorders.planning.outages.proposing.sharing import Presence, share_hours, share_people

_Isolation = tuple[str | None, str | None]


class PlanModel:
    """`aims` are the figures of a plan, as expressions over its variables."""

    def __init__(self, question: Question, most_moves: int | None = None) -> None:
        from ortools.sat.python import cp_model

        self.question = question
        self.model = cp_model.CpModel()
        self._clock = Clock(question.horizon.starts, grain_of(question))
        jobs = sorted(question.free.values(), key=lambda job: job.key)
        self.choices: dict[str, JobChoice] = {
            job.key: choose(self.model, question, job, self._clock)
            for job in jobs
            if question.slots[job.key]
        }
        self._isolations = self._isolate()
        self._wait_for_each_other()
        those = self.choices.values()
        self._presences: list[Presence] = share_people(self.model, question, those, self._clock)
        share_hours(self.model, question, those)
        self.aims: Mapping[Aim, Var] = {
            Aim.LATE: self._late(),
            Aim.ISOLATIONS: self._isolation_count(),
            Aim.OVERTIME: self._overtime(),
            Aim.MOVES: self._moves(),
        }
        if most_moves is not None:
            self.hold(Aim.MOVES, most_moves)

    def hold(self, aim: Aim, most: int) -> None:
        self.model.add(self.aims[aim] <= most)

    def hint(self, placed: Mapping[str, Placement]) -> None:
        """Tell the solver of a plan that is possible, whole, so that it need not complete it."""
        self.model.clear_hints()
        told: dict[int, int] = {}
        for key, choice in self.choices.items():
            now = self.question.present.get(key)
            for var, value in choice.hints(placed.get(key), now, self._clock):
                self.model.add_hint(var, value)
                told[var.index] = value
        for var, those in self._presences:
            self.model.add_hint(var, any(told[one.index] for one in those))
        used = {(place.window, self.question.free[key].isolation) for key, place in placed.items()}
        for isolation, var in self._isolations.items():
            self.model.add_hint(var, isolation in used)

    def placements(self, value_of: Callable[[Var], int]) -> dict[str, Placement]:
        """The plan of a solution."""
        placed = {}
        for key, choice in self.choices.items():
            for one in choice.slots:
                if value_of(one.is_chosen):
                    starts = self._clock.minute_of(value_of(choice.start))
                    span = Span(starts, starts + choice.job.minutes)
                    placed[key] = Placement(key, one.slot.window, one.slot.crew, span)
        return placed

    def _isolate(self) -> dict[_Isolation, Var]:
        isolations: dict[_Isolation, Var] = {}
        for choice in self.choices.values():
            for one in choice.slots:
                if one.slot.window is None:
                    continue
                key = (one.slot.window, choice.job.isolation)
                if key not in isolations:
                    isolations[key] = self.model.new_bool_var("")
                self.model.add_implication(one.is_chosen, isolations[key])
        return isolations

    def _wait_for_each_other(self) -> None:
        for choice in self.choices.values():
            for key in self.question.leaders(choice.job):
                leader = self.choices.get(key)
                if leader is None:
                    self.model.add(choice.is_placed == 0)
                    break
                self.model.add_implication(choice.is_placed, leader.is_placed)
                ends = leader.start + leader.job.minutes // self._clock.grain
                self.model.add(choice.start >= ends).only_enforce_if(choice.is_placed)

    def _late(self) -> Var:
        those = self.choices.values()
        late = sum(one.job.weight * one.is_late for one in those if one.is_late is not None)
        placed = sum(LEFT_OUT * one.job.weight * one.is_placed for one in those)
        return self._at_first(Aim.LATE) + late - placed

    def _isolation_count(self) -> Var:
        jobs = self.question.plan.jobs
        made = {
            (place.window, jobs[key].isolation)
            for key, place in self.question.counted_standing.items()
        }
        more = sum(var for key, var in self._isolations.items() if key not in made)
        return self._at_first(Aim.ISOLATIONS) + more

    def _overtime(self) -> Var:
        slots = [one for choice in self.choices.values() for one in choice.slots]
        more = sum(one.overtime for one in slots if one.overtime is not None)
        return self._at_first(Aim.OVERTIME) + more

    def _moves(self) -> Var:
        kept = sum(one.is_kept for one in self.choices.values() if one.is_kept is not None)
        return self._at_first(Aim.MOVES) - kept

    def _at_first(self, aim: Aim) -> int:
        """The figure as long as no free job is placed."""
        return figure_of(aim, self.question, {})
