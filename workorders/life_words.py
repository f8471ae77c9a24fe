"""What lives say in the reader's language: figures, why one is missing, what to mind."""

from collections.abc import Iterator

from django.utils.formats import number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from workorders.life_subjects import LifeSubject
from workorders.models import ReplacementCosts
from workorders.planning.age_replacement import AgeReplacement, NoOptimum
from workorders.planning.group_replacement import GroupOption, Scope, Trigger
from workorders.planning.weibull import WeibullFit
from workorders.selectors.life_answers import FEW_FAILURES, WORTH_SHARE, Basis, LifeAnswer
from workorders.selectors.lives import LifeData

_NO_OPTIMUM: dict[NoOptimum, str | Promise] = {
    NoOptimum.NO_WEAR: gettext_lazy(
        "There is no finite replacement age: with a shape of 1 or less a new one fails no less "
        "than an old one, so running to failure costs least."
    ),
    NoOptimum.NO_SAVING: gettext_lazy(
        "There is no finite replacement age: a planned replacement costs as much as a failure or "
        "more, so running to failure costs least."
    ),
    NoOptimum.BEYOND_REACH: gettext_lazy(
        "There is no finite replacement age within any life: the cheapest age is so far off that "
        "everything has failed before."
    ),
}
# Further beyond the greatest age than so many times nobody should read a mean.
_FAR = 3.0
BASIS_WORDS: dict[Basis, str | Promise] = {
    Basis.GROUP: gettext_lazy("its own failures"),
    Basis.BELT: gettext_lazy("failures of its kind on this belt"),
    Basis.PLANT: gettext_lazy("failures of its kind at the plant"),
}
_OPTIONS: dict[tuple[Scope, Trigger], str | Promise] = {
    (Scope.ONE, Trigger.AT_FAILURE): gettext_lazy("one: each roll when it fails"),
    (Scope.STRETCH, Trigger.AT_FAILURE): gettext_lazy(
        "its stretch: all rolls of it when one of them fails"
    ),
    (Scope.STRETCH, Trigger.BY_INTERVAL): gettext_lazy(
        "its stretch by plan: at even intervals, singly in between"
    ),
    (Scope.ALL, Trigger.AT_FAILURE): gettext_lazy("all: all of the belt when one of them fails"),
    (Scope.ALL, Trigger.BY_INTERVAL): gettext_lazy(
        "all by plan: at even intervals, singly in between"
    ),
}


def hours_words(hours: float, *, is_running: bool) -> str:
    """`12,300 running hours`: three digits are what lives can tell."""
    digits = max(0, len(str(int(abs(hours)))) - 3)
    number = number_format(round(hours, -digits), 0, use_l10n=True, force_grouping=True)
    said = _("%(hours)s running hours") if is_running else _("%(hours)s calendar hours")
    return said % {"hours": number}


def money_words(amount: float) -> str:
    """Three digits at least, no more decimals than cents."""
    decimals = 0 if abs(amount) >= 100 or amount == 0 else 2 if abs(amount) >= 1 else 4
    return number_format(amount, decimals, use_l10n=True, force_grouping=True)


def meaning_words(fit: WeibullFit) -> str:
    if fit.shape_lower > 1:
        return _("wears out: the older, the likelier to fail")
    if fit.shape_upper < 1:
        return _("fails early: the older, the less likely to fail")
    return _("wearing out, or chance: these lives do not tell")


def remarks_of(answer: LifeAnswer) -> Iterator[str]:
    """What to mind about the figures, in sentences."""
    yield from _on_data(answer.data)
    yield from _on_fit(answer)
    if answer.replacement is not None and answer.fit is not None:
        yield from _on_replacement(answer, answer.fit, answer.replacement)


def _on_data(data: LifeData) -> Iterator[str]:
    if not data.is_running:
        yield _(
            "Lives are counted by the calendar: meter readings of running hours do not cover all "
            "of them."
        )
    if data.unknown:
        yield ngettext(
            "%(count)d life is left out: nobody wrote down when it began.",
            "%(count)d lives are left out: nobody wrote down when they began.",
            data.unknown,
        ) % {"count": data.unknown}
    if data.subject is LifeSubject.BELT and data.lives.failure_count:
        yield _("A belt that was taken off counts as worn out.")


def _on_fit(answer: LifeAnswer) -> Iterator[str]:
    lives, fit = answer.data.lives, answer.fit
    if fit is None:
        yield _no_fit(answer.data)
        return
    if lives.failure_count < FEW_FAILURES:
        yield _("The life rests on %(count)d failures only; mind its limits.") % {
            "count": lives.failure_count
        }
    if fit.life.mean > _FAR * lives.ages[-1]:
        yield _(
            "The mean life is more than three times the greatest age seen: it leans on the form of "
            "the curve alone."
        )
    if fit.shape_lower <= 1 <= fit.shape_upper:
        yield _(
            "The limits of the shape include 1: these lives do not tell wearing out from failing "
            "by chance. Nothing is due by age until more failures are written down."
        )


def _no_fit(data: LifeData) -> str:
    failures = data.lives.failure_count
    if not data.lives.count:
        return _("No life is known. Say when the parts were fitted, and write down changes.")
    if not failures:
        return ngettext(
            "None of %(count)d life has ended in a failure; a life takes failures at two ages.",
            "None of %(count)d lives has ended in a failure; a life takes failures at two ages.",
            data.lives.count,
        ) % {"count": data.lives.count}
    return _("All failures came at one age; a life takes failures at two different ages.")


def _on_replacement(answer: LifeAnswer, fit: WeibullFit, found: AgeReplacement) -> Iterator[str]:
    if found.reason is not None:
        yield str(_NO_OPTIMUM[found.reason])
        return
    if fit.shape_lower <= 1:
        yield _("The replacement age is unsure: a shape of 1, which has none, is possible.")
    if found.of_run_to_failure >= WORTH_SHARE:
        yield _("Replacing at this age saves less than one percent against running to failure.")
    if found.age is not None and answer.data.lives.ages and found.age > answer.data.lives.ages[-1]:
        yield _(
            "The replacement age is above every age seen: it leans on the form of the curve alone."
        )


def option_words(option: GroupOption) -> str:
    return str(_OPTIONS[option.scope, option.trigger])


def interval_words(option: GroupOption, hours: float | None, *, is_running: bool) -> str:
    """How often, for a stretch or the belt."""
    if hours is None:
        return _("no interval saves anything: each at its failure")
    said = hours_words(hours, is_running=is_running)
    if option.trigger is Trigger.BY_INTERVAL:
        return _("every %(hours)s") % {"hours": said}
    return _("about every %(hours)s") % {"hours": said}


_REASONS: dict[tuple[Scope, Trigger], str | Promise] = {
    (Scope.ONE, Trigger.AT_FAILURE): gettext_lazy(
        "Rolls fail here and there over a long time: no visit spares as many failures as it costs."
    ),
    (Scope.STRETCH, Trigger.AT_FAILURE): gettext_lazy(
        "A failure brings people there anyway, and the others of the stretch are near their end."
    ),
    (Scope.STRETCH, Trigger.BY_INTERVAL): gettext_lazy(
        "These rolls wear out, and the failures that a planned visit spares cost more than the "
        "visit and the life thrown away; each stretch at its own time."
    ),
    (Scope.ALL, Trigger.AT_FAILURE): gettext_lazy(
        "A failure brings people there anyway, and all rolls of the belt are near their end."
    ),
    (Scope.ALL, Trigger.BY_INTERVAL): gettext_lazy(
        "These rolls wear out at much the same time: one visit for all of them spares visits."
    ),
}


def reason_words(least: GroupOption) -> str:
    """Why the cheapest way is the cheapest."""
    return str(_REASONS[least.scope, least.trigger])


def inputs_words(costs: ReplacementCosts) -> str:
    """From which figures the comparison follows."""
    return _(
        "From %(planned)s a roll on a visit, %(failure)s a roll at its failure, %(visit)s a visit, "
        "%(each)s h of standing a roll, %(free)s h of it free, %(hour)s an hour beyond."
    ) % {
        "planned": money_words(float(costs.planned_cost)),
        "failure": money_words(float(costs.failure_cost)),
        "visit": money_words(float(costs.visit_cost)),
        "each": f"{float(costs.hours_each):g}",
        "free": f"{float(costs.free_stop_h):g}",
        "hour": money_words(float(costs.stop_cost_per_h)),
    }
