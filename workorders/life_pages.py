"""Lives as their pages show them: figures in words, the drawing and its table, stretches."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from plant.chart_view import NARROW_PX, WIDE_PX, ChartView
from workorders import life_words
from workorders.life_charts import ChartWords, survival_chart
from workorders.life_subjects import LifeSubject, subject_words
from workorders.models import ReplacementCosts
from workorders.planning.group_replacement import GroupComparison, GroupOption, Scope, Trigger
from workorders.planning.running_clock import Clock
from workorders.selectors.life_answers import BeltComparison, ChosenLife, LifeAnswer, PlantAnswers
from workorders.selectors.lives import Group

# More rows than a screen or two nobody reads.
_MOST_ROWS = 40


@dataclass(frozen=True)
class LifeRow:
    """One kind, or one group, in a list: how many, how many failed, whether that is enough."""

    words: str
    subject: LifeSubject
    parts: int
    failures: int
    seen: int
    unknown: int
    life: str
    is_enough: bool
    group: Group | None = None


def row_of(words: str, answer: LifeAnswer, parts: int, group: Group | None = None) -> LifeRow:
    data, fit = answer.data, answer.fit
    mean = life_words.hours_words(fit.life.mean, is_running=data.is_running) if fit else ""
    return LifeRow(
        words,
        data.subject,
        parts,
        data.lives.failure_count,
        data.lives.count,
        data.unknown,
        mean,
        data.is_enough,
        group,
    )


def rows_by_subject(answers: PlantAnswers, conveyor_id: int | None = None) -> list[LifeRow]:
    """Each kind there is, of the plant or of one conveyor."""
    parts: dict[LifeSubject, int] = {}
    for one in answers.lives.groups:
        if conveyor_id in (None, one.conveyor.pk):
            parts[one.subject] = parts.get(one.subject, 0) + one.parts
    return [
        row_of(subject_words(one), answers.of(one, conveyor_id), parts[one])
        for one in LifeSubject
        if one in parts
    ]


def rows_by_group(answers: PlantAnswers, groups: Sequence[Group]) -> list[LifeRow]:
    return [
        row_of(
            one.component.name,
            answers.of(one.subject, one.conveyor.pk, one.component.pk),
            one.parts,
            one,
        )
        for one in groups
        if one.component is not None and one.subject.is_of_rolls
    ]


def page_of(answer: LifeAnswer, clock: Clock | None = None) -> dict[str, Any]:
    """Everything that is said of one set of lives; `clock` turns hours into days."""
    data = answer.data
    return {
        "subject": data.subject.value,
        "words": subject_words(data.subject),
        "seen": data.lives.count,
        "failures": data.lives.failure_count,
        "facts": list(_facts(answer)),
        "replacement": _replacement(answer, clock),
        "costs": answer.costs,
        "remarks": list(life_words.remarks_of(answer)),
        "chart": _chart(answer),
        "steps": _steps(answer),
    }


def _facts(answer: LifeAnswer) -> list[tuple[str, str, str]]:
    """Name, figure, what it means."""
    fit, is_running = answer.fit, answer.data.is_running
    if fit is None:
        return []
    limits = _("%(shape).3g (%(lower).3g to %(upper).3g)") % {
        "shape": fit.life.shape,
        "lower": fit.shape_lower,
        "upper": fit.shape_upper,
    }
    ages = (
        (_("Scale"), fit.life.scale, _("63.2 % have failed by this age")),
        (_("B10"), fit.life.b10, _("a tenth has failed by this age")),
        (_("Mean life"), fit.life.mean, ""),
    )
    told = [
        (name, life_words.hours_words(hours, is_running=is_running), meaning)
        for name, hours, meaning in ages
        if hours < float("inf")
    ]
    return [(_("Shape"), limits, life_words.meaning_words(fit)), *told]


def _replacement(answer: LifeAnswer, clock: Clock | None) -> dict[str, str] | None:
    found = answer.replacement
    if found is None:
        return None
    told = {
        "rate": life_words.money_words(1000 * found.cost_rate),
        "saving": f"{100 * (1 - found.of_run_to_failure):.0f} %",
        "age": "",
        "days": "",
    }
    if found.age is not None:
        told["age"] = life_words.hours_words(found.age, is_running=answer.data.is_running)
        ahead = clock.ahead if clock and answer.data.is_running else 1.0
        if clock is not None or not answer.data.is_running:
            told["days"] = f"{found.age / ahead / 24:.0f}"
    return told


def _chart(answer: LifeAnswer) -> ChartView | None:
    if not answer.steps:
        return None
    words = ChartWords(
        share=_("share that survives"),
        across=_("running hours") if answer.data.is_running else _("calendar hours"),
        replace=_("replace"),
        lower=_("lower limit, 90 %"),
        upper=_("upper limit, 90 %"),
    )
    wide, narrow = (survival_chart(answer, words, width=width) for width in (WIDE_PX, NARROW_PX))
    header = [_("age [h]"), words.share, words.lower, words.upper]
    rows = [[one.age, one.survival, one.lower, one.upper] for one in answer.steps]
    caption = _("Steps: as seen, with limits (Kaplan-Meier, Greenwood); curve: the Weibull life; "
                "upright line: the cheapest age to replace at.")  # fmt: skip
    heading = _("Share that survives")
    return ChartView("survival", heading, wide, header, rows, caption, narrow_spec=narrow)


def _steps(answer: LifeAnswer) -> dict[str, Any]:
    every = -(-len(answer.steps) // _MOST_ROWS) or 1
    shown = answer.steps[(len(answer.steps) - 1) % every :: every] if answer.steps else ()
    rows = [
        {
            "age": life_words.hours_words(one.age, is_running=answer.data.is_running),
            "share": f"{one.survival:.3f}",
            "limits": "" if one.lower is None else f"{one.lower:.3f}\N{EN DASH}{one.upper:.3f}",
        }
        for one in shown
    ]
    return {"rows": rows, "every": every, "all": len(answer.steps)}


def stretches_of(comparison: BeltComparison, costs: ReplacementCosts) -> dict[str, Any] | None:
    """One, its stretch or all: each way with its cost, the cheapest named."""
    found = comparison.comparison
    if found is None:
        return None
    least = _least(found)
    return {
        "options": [
            {**_option(one, comparison, found.options[0]), "is_least": one is least}
            for one in found.options
        ],
        "stretches": [_stretch(one) for one in comparison.chosen],
        "is_running": comparison.is_running,
        "inputs": life_words.inputs_words(costs),
        "reason": life_words.reason_words(least),
    }


def _least(found: GroupComparison) -> GroupOption:
    """The cheapest; a plan without any interval is no plan, each is replaced at its failure."""
    least = found.least
    is_plan = least.trigger is Trigger.BY_INTERVAL
    return found.options[0] if is_plan and set(least.intervals) == {None} else least


def _option(option: GroupOption, comparison: BeltComparison, singly: GroupOption) -> dict[str, Any]:
    """One way; how often for each stretch, or once for all of the belt."""
    names = [one.group.component.name for one in comparison.chosen if one.group.component]
    if option.scope is Scope.ALL:
        names = [""]
    words = [
        life_words.interval_words(option, one, is_running=comparison.is_running)
        for one in option.intervals
    ]
    return {
        "words": life_words.option_words(option),
        "rate": life_words.money_words(1000 * option.cost_rate),
        "share": f"{100 * option.cost_rate / singly.cost_rate:.0f} %",
        "intervals": list(zip(names, words, strict=False)),
    }


def _stretch(one: ChosenLife) -> dict[str, Any]:
    fit, data = one.answer.fit, one.answer.data
    return {
        "name": one.group.component.name if one.group.component else "",
        "rolls": one.group.parts,
        "basis": life_words.BASIS_WORDS[one.basis],
        "failures": data.lives.failure_count,
        "mean": life_words.hours_words(fit.life.mean, is_running=data.is_running) if fit else "",
        "shape": f"{fit.life.shape:.2g}" if fit else "",
    }
