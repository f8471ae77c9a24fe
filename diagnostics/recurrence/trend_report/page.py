"""All figures as a page of text for a person; pure."""

import math
import textwrap
from collections.abc import Iterable, Iterator

import numpy as np

from diagnostics.recurrence.mean_cumulative import Variance
from diagnostics.recurrence.trend_report.figures import TrendFigures

_WIDTH = 96
# Steps and units that a page shows; the rest is in the JSON document.
_MOST_STEPS, _MOST_UNITS = 12, 20
_NAME = 24
_VARIANCES = {
    Variance.ROBUST: "robust (Lawless-Nadeau)",
    Variance.POISSON: "Poisson",
}


def page_of(figures: TrendFigures) -> str:
    """What happened, whether it gets worse, the fit, the mean course, the units, notes."""
    histories = figures.watched.histories
    exposure = float(histories.exposure.sum())
    lines = [
        f"{_many(histories.events, 'event')} of {_many(histories.units, 'unit')} in "
        f"{exposure:.6g} watched",
        "=" * 40,
        f"Limits at {figures.asked.level * 100:g} %, times in the unit of the file.",
        *_trend(figures),
        *_power_law(figures),
        *_course(figures),
        *_units(figures),
        *_section("Notes", _all_notes(figures)),
    ]
    return "\n".join(lines) + "\n"


def _trend(figures: TrendFigures) -> Iterator[str]:
    yield from ("", "Do events come thicker or thinner?", "-" * 40)
    if not figures.evidence:
        missing = " ".join(figures.test_notes)
        yield f"   unknown: {missing[:1].lower()}{missing[1:]}".rstrip(" :")
        return
    tests = (float(figures.laplace.p), float(figures.handbook.p_two_sided))
    yield f"   {_verdict(figures, min(tests))}"
    # Adding 0 takes the sign from a zero.
    u, handbook = round(float(figures.laplace.u), 3) + 0.0, figures.handbook
    yield f"   Laplace            u {u:.3f}, two-sided p {_chance(tests[0])}"
    yield (
        f"   military handbook  chi-square {float(handbook.chi2):.3f} on {int(handbook.df)} df, "
        f"lower tail {float(handbook.p_lower):.4f}, two-sided p {_chance(tests[1])}"
    )


def _verdict(figures: TrendFigures, smallest: float) -> str:
    """Two tests are tried, so the smaller probability counts twice."""
    likely = 2 * smallest
    if likely > 1 - figures.asked.level:
        return "No trend is shown: the rate may well be constant."
    by_laplace = float(figures.laplace.p) <= smallest
    is_thinner = figures.laplace.u < 0 if by_laplace else figures.handbook.p_lower > 0.5
    way = "thinner: it gets better" if is_thinner else "thicker: it gets worse"
    return f"Events come {way} (p {_chance(min(likely, 1.0))} of both tests together)."


def _power_law(figures: TrendFigures) -> Iterator[str]:
    law, fit = figures.power_law, figures.fit
    if not figures.watched.histories.events:
        return
    yield from ("", "Power law: a t^b events of a unit up to age t", "-" * 40)
    yield f"   shape b     {_figure(law.shape)} ({_between(law.shape_lower, law.shape_upper)})"
    yield f"   scale a     {_figure(law.scale)}"
    yield (
        f"   corrected   b {_figure(law.shape_corrected)}, a {_figure(law.scale_corrected)} "
        "(bias of b taken out)"
    )
    yield (
        f"   mean time between a unit's events at the end, corrected  {_figure(law.mtbf_at_end)} "
        f"({_between(law.mtbf_lower, law.mtbf_upper)})"
    )
    if not math.isnan(fit.critical):
        fits = "doubtful" if fit.distance > fit.critical else "not contradicted"
        yield (
            f"   Cramer-von Mises {fit.distance:.4f}, critical {fit.critical:.3f} at "
            f"{(1 - figures.asked.level) * 100:.3g} %: the power law is {fits}"
        )


def _course(figures: TrendFigures) -> Iterator[str]:
    mcf = figures.mcf
    if not len(mcf.time):
        return
    kind = _VARIANCES[figures.asked.variance]
    yield from ("", f"Mean number of events of a unit up to each age, {kind} limits", "-" * 40)
    yield f"   {'age':>12}{'mean':>12}{'std error':>12}{'lower':>12}{'upper':>12}"
    last = len(mcf.time) - 1
    for step in np.unique(np.linspace(0, last, _MOST_STEPS).round().astype(int)):
        row = (mcf.time[step], mcf.mcf[step], mcf.se[step], mcf.lower[step], mcf.upper[step])
        yield "   " + "".join(f"{_figure(float(one)):>12}" for one in row)


def _units(figures: TrendFigures) -> Iterator[str]:
    rates, histories = figures.rates, figures.watched.histories
    if not histories.units:
        return
    order = np.lexsort((-rates.rate, -rates.shrunk, -np.nan_to_num(rates.probability_worse)))
    shown = order[:_MOST_UNITS]
    yield from ("", _units_title(figures, len(shown)), "-" * 40)
    yield (
        f"   {'unit':<{_NAME}}{'events':>8}{'rate':>11}{'fair rate':>11}"
        f"{'lower':>11}{'upper':>11}{'worse':>8}{'trend p':>9}"
    )
    for one in shown:
        name = figures.watched.names[one]
        name = name if len(name) < _NAME else name[: _NAME - 2] + "~"
        parts = (rates.rate, rates.shrunk, rates.lower, rates.upper)
        yield (
            f"   {name:<{_NAME}}{int(histories.counts[one]):>8}"
            + "".join(f"{_figure(float(part[one])):>11}" for part in parts)
            + f"{_share(float(rates.probability_worse[one])):>8}"
            + f"{_share(float(figures.trend_each[one])):>9}"
        )
    if rates.prior is not None:
        yield (
            f"   Fair rates are drawn toward a gamma prior, shape {_figure(rates.prior.a)}, rate "
            f"{_figure(rates.prior.b)}."
        )


def _units_title(figures: TrendFigures, shown: int) -> str:
    of = len(figures.watched.names)
    which = f"{shown} of {_many(of, 'unit')}"
    if np.isnan(figures.rates.probability_worse).all():
        return f"{which}, highest rate first"
    return f"{which}, surest first to be worse than {figures.asked.factor:g} x the median unit rate"


def _all_notes(figures: TrendFigures) -> Iterator[str]:
    yield from figures.notes
    yield from dict.fromkeys((*figures.test_notes, *figures.power_law_notes))
    if figures.watched.histories.events:
        yield (
            "Trend p: military handbook test of each unit by itself, adjusted for how many units "
            "were tested (Benjamini-Hochberg)."
        )


def _section(title: str, sentences: Iterable[str]) -> list[str]:
    lines = [
        line
        for one in sentences
        for line in textwrap.wrap(one, _WIDTH, initial_indent="   * ", subsequent_indent="     ")
    ]
    return ["", f"{title}:", *lines] if lines else []


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _figure(figure: float) -> str:
    return f"{figure:.4g}" if math.isfinite(figure) else "unknown"


def _chance(chance: float) -> str:
    return f"{chance:.4f}" if chance >= 0.0001 else "below 0.0001"


def _between(lower: float, upper: float) -> str:
    return f"{_figure(lower)} to {_figure(upper)}"


def _share(share: float) -> str:
    return f"{share:.3f}" if math.isfinite(share) else "-"
