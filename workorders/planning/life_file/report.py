"""What is answered about a file of lives, and the same as one JSON document."""

import math
from dataclasses import dataclass
from typing import Any

from workorders.planning.age_replacement import AgeReplacement, best_replacement_age
from workorders.planning.life_file import remarks
from workorders.planning.life_file.rows import LifeFile
from workorders.planning.lives import Lives
from workorders.planning.survival import SurvivalStep, kaplan_meier
from workorders.planning.weibull import WeibullFit, fit_weibull


@dataclass(frozen=True)
class Costs:
    """What a replacement costs before the failure, and at it; any one currency."""

    planned: float
    failure: float


@dataclass(frozen=True)
class LifeReport:
    """Everything `manage.py life` says; `notes` are sentences."""

    lives: Lives
    level: float
    weibull: WeibullFit | None
    costs: Costs | None
    age_replacement: AgeReplacement | None
    survival: tuple[SurvivalStep, ...]
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Strict JSON; beside every null stand `notes` that say why."""
        return {
            "n": self.lives.count,
            "failures": self.lives.failure_count,
            "weibull": None if self.weibull is None else _weibull(self.weibull),
            "age_replacement": None
            if self.age_replacement is None
            else _age_replacement(self.age_replacement),
            "survival": [_step(step) for step in self.survival],
            "notes": list(self.notes),
        }


def report_of(file: LifeFile, level: float, costs: Costs | None) -> LifeReport:
    """Fit, replacement age where costs are given, survival, and what to mind about them."""
    lives = file.lives
    fit = fit_weibull(lives, level)
    replacement = None
    if costs is not None and fit is not None and math.isfinite(fit.life.mean):
        replacement = best_replacement_age(fit.life, costs.planned, costs.failure)
    notes = [
        *remarks.on_file(file),
        *remarks.on_fit(lives, fit),
        *remarks.on_replacement(lives, fit, replacement, has_costs=costs is not None),
    ]
    steps = kaplan_meier(lives, level)
    return LifeReport(lives, level, fit, costs, replacement, steps, tuple(notes))


def _weibull(fit: WeibullFit) -> dict[str, Any]:
    found: dict[str, Any] = {
        "shape": fit.life.shape,
        "scale": fit.life.scale,
        "loglik": fit.loglik,
        "shape_lower": fit.shape_lower,
        "shape_upper": fit.shape_upper,
        "b10": fit.life.b10,
        "mean": fit.life.mean,
    }
    past = [key for key, value in found.items() if not math.isfinite(value)]
    if past:
        found |= dict.fromkeys(past)
        found["notes"] = [remarks.TOO_LARGE]
    return found


def _age_replacement(found: AgeReplacement) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "age": found.age,
        "cost_rate": found.cost_rate,
        "of_run_to_failure": found.of_run_to_failure,
    }
    if found.reason is not None:
        answer["notes"] = [remarks.NO_OPTIMUM[found.reason]]
    return answer


def _step(step: SurvivalStep) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "age": step.age,
        "survival": step.survival,
        "se": step.se,
        "lower": step.lower,
        "upper": step.upper,
    }
    if step.se is None:
        answer["notes"] = [remarks.NOTHING_SURVIVES]
    return answer
