"""Sentences beside the figures of a file of lives: why one is missing, what to mind."""

import math
from collections.abc import Iterator

from workorders.planning.age_replacement import AgeReplacement, NoOptimum
from workorders.planning.life_file.rows import LifeFile
from workorders.planning.lives import Lives
from workorders.planning.weibull import WeibullFit

NO_OPTIMUM = {
    NoOptimum.NO_WEAR: (
        "There is no finite replacement age: with a shape of 1 or less a new one fails no less "
        "than an old one, so running to failure costs least; cost_rate is that of running to "
        "failure."
    ),
    NoOptimum.NO_SAVING: (
        "There is no finite replacement age: a planned replacement costs as much as a failure or "
        "more, so running to failure costs least; cost_rate is that of running to failure."
    ),
    NoOptimum.BEYOND_REACH: (
        "There is no finite replacement age within any life: the cheapest age is so far off that "
        "everything has failed before; cost_rate is that of running to failure."
    ),
}
NOTHING_SURVIVES = (
    "The last life seen ended in a failure, so nothing survives this age; Greenwood's variance "
    "is undefined there."
)
TOO_LARGE = "A figure is null because it is larger than a number of this kind can be."
# With fewer failures the limits of the shape usually span a factor of three and more.
_FEW_FAILURES = 5
_SMALL_SAVING = 0.99


def on_file(file: LifeFile) -> Iterator[str]:
    if file.blank_counts:
        rows = "1 row leaves" if file.blank_counts == 1 else f"{file.blank_counts} rows leave"
        yield f"{rows} the count blank; each is taken as one life."
    if not file.lives.failure_ages:
        yield "Nothing has failed yet, so there are no steps of survival."


def on_fit(lives: Lives, fit: WeibullFit | None) -> Iterator[str]:
    if fit is None:
        yield _why_no_fit(lives)
        return
    if lives.failure_count < _FEW_FAILURES:
        yield f"The Weibull life rests on {lives.failure_count} failures only; mind its limits."
    if fit.shape_lower <= 1 <= fit.shape_upper:
        yield (
            f"The {100 * fit.level:.4g} % limits of the shape include 1: these lives do not tell "
            f"wearing out from failing by chance."
        )
    if not math.isfinite(fit.life.mean):
        yield TOO_LARGE


def on_replacement(
    lives: Lives, fit: WeibullFit | None, found: AgeReplacement | None, *, has_costs: bool
) -> Iterator[str]:
    if not has_costs:
        yield "age_replacement is null: no costs were given (--planned-cost, --failure-cost)."
    elif fit is None:
        yield "age_replacement is null: it needs a Weibull life."
    elif found is None:
        yield "age_replacement is null: the mean life is too large to reckon with."
    elif found.reason is not None:
        yield NO_OPTIMUM[found.reason]
    elif found.age is not None:
        yield from _on_age(lives, fit, found.age, found.of_run_to_failure)


def _on_age(lives: Lives, fit: WeibullFit, age: float, saving: float) -> Iterator[str]:
    if fit.shape_lower <= 1:
        yield "The replacement age is unsure: a shape of 1, for which there is none, is possible."
    if saving > _SMALL_SAVING:
        yield "Replacing at this age saves less than one percent against running to failure."
    if age > lives.ages[-1]:
        yield "The replacement age is above every age seen: it leans on the Weibull form alone."


def _why_no_fit(lives: Lives) -> str:
    if not lives.failure_count:
        return (
            f"weibull is null: none of the {lives.count} lives ended in a failure; the shape "
            f"needs failures at two different ages."
        )
    if not lives.fail_at_different_ages:
        what = "one life" if lives.failure_count == 1 else f"{lives.failure_count} lives"
        at = "failed" if lives.failure_count == 1 else "failed, all at the same age"
        return f"weibull is null: {what} {at}; the shape needs failures at two different ages."
    return "weibull is null: the scale is larger than a number of this kind can be."
