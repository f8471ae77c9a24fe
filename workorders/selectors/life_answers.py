"""What lives say: Weibull life, share that survives, replacement age, stretches of a belt."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from plant.models import Conveyor
from workorders.life_subjects import LifeSubject
from workorders.models import ReplacementCosts
from workorders.planning.age_replacement import (
    LEAST_COST_RATIO,
    AgeReplacement,
    best_replacement_age,
)
from workorders.planning.group_replacement import (
    GroupComparison,
    GroupCosts,
    Stretch,
    compare_group_replacement,
)
from workorders.planning.survival import SurvivalStep, kaplan_meier
from workorders.planning.weibull import WeibullFit, fit_weibull
from workorders.selectors.lives import Group, LifeData, PlantLives

LEVEL = 0.90
# With fewer failures the limits of the shape usually span a factor of three and more.
FEW_FAILURES = 5
# A plan that saves less than this is not worth the visits; engineering judgement.
WORTH_SHARE = 0.99
# More stretches of one kind has no belt; the bound keeps the page quick.
MOST_STRETCHES = 60


class Basis(StrEnum):
    """Whose lives a stretch goes by: its own if they tell enough, else those of its kind."""

    GROUP = "group"
    BELT = "belt"
    PLANT = "plant"


@dataclass(frozen=True)
class LifeAnswer:
    """`replacement` is None without costs, without a fit, or where the mean life is infinite."""

    data: LifeData
    fit: WeibullFit | None
    steps: tuple[SurvivalStep, ...]
    costs: ReplacementCosts | None
    replacement: AgeReplacement | None

    @property
    def is_worth_planning(self) -> bool:
        """Sure enough to plan by: it wears out, and replacing early saves something."""
        return (
            self.fit is not None
            and self.fit.shape_lower > 1
            and self.replacement is not None
            and self.replacement.age is not None
            and self.replacement.of_run_to_failure < WORTH_SHARE
        )


@dataclass(frozen=True)
class ChosenLife:
    """The life a stretch goes by; `answer.fit` is None where nothing is known of its kind."""

    group: Group
    basis: Basis
    answer: LifeAnswer


class PlantAnswers:
    """Answers about one plant, each worked out once."""

    def __init__(self, lives: PlantLives) -> None:
        self.lives = lives
        self.costs = {
            LifeSubject(one.subject): one
            for one in ReplacementCosts.objects.filter(plant=lives.plant)
        }
        self._kept: dict[tuple[LifeSubject, int | None, int | None], LifeAnswer] = {}

    def of(
        self,
        subject: LifeSubject,
        conveyor_id: int | None = None,
        component_id: int | None = None,
    ) -> LifeAnswer:
        """Of a component, of a conveyor, of the plant."""
        key = (subject, conveyor_id, component_id)
        if key not in self._kept:
            groups = [
                one
                for one in self.lives.groups
                if one.subject is subject
                and conveyor_id in (None, one.conveyor.pk)
                and component_id in (None, one.component.pk if one.component else None)
            ]
            self._kept[key] = answer_of(
                self.lives.data_of(subject, groups), self.costs.get(subject)
            )
        return self._kept[key]

    def chosen(self, group: Group) -> ChosenLife:
        """The narrowest lives with at least five failures; else those of the plant."""
        component_id = group.component.pk if group.component else None
        ways = (
            (Basis.GROUP, (group.conveyor.pk, component_id)),
            (Basis.BELT, (group.conveyor.pk, None)),
        )
        for basis, (conveyor_id, of) in ways:
            answer = self.of(group.subject, conveyor_id, of)
            if answer.fit is not None and answer.data.lives.failure_count >= FEW_FAILURES:
                return ChosenLife(group, basis, answer)
        return ChosenLife(group, Basis.PLANT, self.of(group.subject))

    def groups_of(self, conveyor: Conveyor) -> list[Group]:
        return [one for one in self.lives.groups if one.conveyor.pk == conveyor.pk]


@dataclass(frozen=True)
class BeltComparison:
    """`chosen` are the stretches, in order; `comparison` is None where no life is known."""

    chosen: tuple[ChosenLife, ...]
    comparison: GroupComparison | None
    is_running: bool


def answer_of(data: LifeData, costs: ReplacementCosts | None) -> LifeAnswer:
    fit = fit_weibull(data.lives, LEVEL) if data.lives.count else None
    replacement = None
    if fit is not None and costs is not None and math.isfinite(fit.life.mean):
        planned, failure = float(costs.planned_cost), float(costs.failure_cost)
        if planned >= LEAST_COST_RATIO * failure:
            replacement = best_replacement_age(fit.life, planned, failure)
    steps = kaplan_meier(data.lives, LEVEL) if data.lives.count else ()
    return LifeAnswer(data, fit, steps, costs, replacement)


def compare_stretches(
    answers: PlantAnswers, groups: Iterable[Group], costs: ReplacementCosts
) -> BeltComparison:
    """One roll, its stretch or all rolls of a kind on a belt: what each costs by the hour."""
    chosen = _by_one_clock(answers, [answers.chosen(one) for one in groups][:MOST_STRETCHES])
    stretches = []
    for one in chosen:
        fit = one.answer.fit
        if fit is None or not math.isfinite(fit.life.mean):
            return BeltComparison(tuple(chosen), None, False)
        stretches.append(Stretch(one.group.parts, fit.life))
    is_running = all(one.answer.data.is_running for one in chosen)
    if not stretches:
        return BeltComparison((), None, False)
    return BeltComparison(
        tuple(chosen), compare_group_replacement(stretches, _costs(costs)), is_running
    )


def _by_one_clock(answers: PlantAnswers, chosen: Sequence[ChosenLife]) -> Sequence[ChosenLife]:
    """Lives by running hours and lives by the calendar do not compare: then all by the plant's."""
    if len({one.answer.data.is_running for one in chosen}) < 2:
        return chosen
    return [ChosenLife(one.group, Basis.PLANT, answers.of(one.group.subject)) for one in chosen]


def _costs(costs: ReplacementCosts) -> GroupCosts:
    return GroupCosts(
        failure_cost=float(costs.failure_cost),
        set_cost=float(costs.planned_cost),
        visit_cost=float(costs.visit_cost),
        hours_per_set=float(costs.hours_each),
        free_stop_h=float(costs.free_stop_h),
        stop_cost_per_h=float(costs.stop_cost_per_h),
    )
