"""The answer about a file of lives as a page of text for a person."""

import textwrap
from collections.abc import Iterable, Iterator

from workorders.planning.age_replacement import AgeReplacement
from workorders.planning.life_file.report import Costs, LifeReport
from workorders.planning.survival import SurvivalStep
from workorders.planning.weibull import WeibullFit

_WIDTH = 96
# More rows than a screen or two shows nobody reads; all of them are in the JSON answer.
_MOST_STEPS = 40


def page_of(report: LifeReport) -> str:
    """Counts, Weibull life, replacement age, survival, notes; in this order."""
    lives = report.lives
    lines = [
        f"{lives.count} lives, {lives.failure_count} ended in a failure, limits at "
        f"{100 * report.level:.4g} %",
        "=" * 40,
    ]
    if report.weibull is not None:
        lines += _weibull(report.weibull)
    if report.age_replacement is not None and report.costs is not None:
        lines += _replacement(report.age_replacement, report.costs)
    if report.survival:
        lines += _survival(report.survival)
    lines += _notes(report.notes)
    return "\n".join(lines) + "\n"


def _weibull(fit: WeibullFit) -> Iterator[str]:
    yield from ("", "Weibull life (maximum likelihood)", "-" * 40)
    limits = f"{_figure(fit.shape_lower)} to {_figure(fit.shape_upper)}"
    yield _line("shape", f"{_figure(fit.life.shape)} ({limits})", _meaning(fit))
    yield _line("scale", _figure(fit.life.scale), "63.2 % have failed by this age")
    yield _line("B10", _figure(fit.life.b10), "a tenth has failed by this age")
    yield _line("mean life", _figure(fit.life.mean), "")
    yield _line("log-likelihood", f"{fit.loglik:.4f}", "")


def _meaning(fit: WeibullFit) -> str:
    if fit.shape_lower > 1:
        return "wears out: the older, the likelier to fail"
    if fit.shape_upper < 1:
        return "fails early: the older, the less likely to fail"
    return "may be wearing out, or chance"


def _replacement(found: AgeReplacement, costs: Costs) -> Iterator[str]:
    yield from ("", "Replacing by age", "-" * 40)
    yield _line("costs", f"{costs.planned:g} planned, {costs.failure:g} at failure", "")
    yield _line("age", "run to failure" if found.age is None else _figure(found.age), "")
    yield _line("cost rate", _figure(found.cost_rate), "per unit of age")
    yield _line("against run to failure", f"{found.of_run_to_failure:.1%}", "")


def _survival(steps: tuple[SurvivalStep, ...]) -> Iterator[str]:
    yield from ("", "Share that survives (Kaplan-Meier, Greenwood, log(-log) limits)", "-" * 40)
    yield f"   {'age':>14}{'survives':>12}{'std. error':>12}{'limits':>20}"
    every = -(-len(steps) // _MOST_STEPS)
    # Counted from the end, so that the last age is always there.
    for step in steps[(len(steps) - 1) % every :: every]:
        if step.se is None or step.lower is None or step.upper is None:
            yield f"   {_figure(step.age):>14}{step.survival:>12.4f}{'none':>12}{'none':>20}"
            continue
        limits = f"{step.lower:.4f} to {step.upper:.4f}"
        yield f"   {_figure(step.age):>14}{step.survival:>12.4f}{step.se:>12.4f}{limits:>20}"
    if every > 1:
        yield f"   One age in {every} of {len(steps)}; all of them are in the answer to --json."


def _notes(notes: Iterable[str]) -> list[str]:
    lines = [
        line
        for one in notes
        for line in textwrap.wrap(one, _WIDTH, initial_indent="   * ", subsequent_indent="     ")
    ]
    return ["", "Notes:", *lines] if lines else []


def _line(name: str, value: str, meaning: str) -> str:
    return f"   {name:<24}{value:<32}{meaning}".rstrip()


def _figure(value: float) -> str:
    return f"{value:.5g}" if abs(value) < 100_000 else f"{value:.6g}"
