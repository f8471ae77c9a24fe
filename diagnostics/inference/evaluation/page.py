"""An evaluation as a page of text for a person."""

import textwrap
from collections.abc import Iterable, Iterator

from diagnostics.inference.evaluation.calibration import Bin
from diagnostics.inference.evaluation.evaluation import Evaluation
from diagnostics.inference.evaluation.hits import ENGINE, ONSET_RULE, ONSET_RULE_WITH_REACH, Hits
from diagnostics.inference.evaluation.judging import Judged
from diagnostics.inference.evaluation.one_cause import AMONG, ByEffect, OneCause
from diagnostics.inference.evaluation.places import PlaceScores
from diagnostics.inference.evaluation.rates import Rate, Spread
from diagnostics.inference.evaluation.two_causes import TwoCauses
from plant.loop.vocabulary import Run

_WIDTH = 96
_NAMES = {
    ENGINE: "engine",
    ONSET_RULE: "rule of the onset alone",
    ONSET_RULE_WITH_REACH: "rule of the onset, 8 m of reach",
}


def page_of(evaluation: Evaluation) -> str:
    """Hits, places, honesty, two causes, missed cases, notes; in this order."""
    lines = [
        f"{len(evaluation.judged)} cases, intervals at {evaluation.level:.0%}",
        "=" * 40,
    ]
    notes = list(evaluation.notes)
    if evaluation.one_cause is not None:
        lines += _one_cause(evaluation.one_cause)
        notes += evaluation.one_cause.notes
    if evaluation.two_causes is not None:
        lines += _two_causes(evaluation.two_causes)
    lines += _missed(evaluation.judged)
    lines += _section("Notes", notes)
    return "\n".join(lines) + "\n"


def _one_cause(scores: OneCause) -> Iterator[str]:
    yield from ("", f"One cause: {scores.cases} cases", "-" * 40)
    yield _hits("", "first right", "among the first three")
    yield from _ranked(scores.hits)
    yield from ("", "By true class (engine):")
    for name, hits in scores.by_class.items():
        own = hits[ENGINE]
        yield _hits(name.value, _rate(own.first), _rate(own.among))
    if scores.by_effect:
        yield from ("", "By the largest change of offset that the cause makes (engine):")
    for one in scores.by_effect:
        own = one.hits[ENGINE]
        yield _hits(_bounds(one), _rate(own.first), _rate(own.among))
    yield from _places(scores.places)
    yield from _calibration(scores)
    yield ""
    yield f"Evidence enough, by its own account: {_rate(scores.sufficient)}"
    yield f"Taken for two causes, wrongly: {_rate(scores.called_two)}"


def _bounds(one: ByEffect) -> str:
    if one.to_mm is None:
        return f"{one.from_mm:g} mm or more"
    return f"{one.from_mm:g} mm to under {one.to_mm:g} mm"


def _ranked(found: dict[str, Hits]) -> Iterator[str]:
    for name, hits in found.items():
        yield _hits(_NAMES[name], _rate(hits.first), _rate(hits.among))


def _hits(name: str, first: str, among: str) -> str:
    return f"   {name:<33}{first:>30}{among:>30}"


def _places(places: PlaceScores) -> Iterator[str]:
    yield from ("", "Error of place, best entry of the true class, shortest way:")
    for run in Run:
        yield f"   {run.value + ' run':<34}{_spread(places.by_run[run])}"
        yield f"   {'   idlers and structure alone':<34}{_spread(places.rows_by_run[run])}"
        yield f"   {'   from the onset':<34}{_spread(places.onset_by_run[run])}"
    yield f"   {'along the belt':<34}{_spread(places.belt_position)}"
    yield f"Side to which the belt is driven, right: {_rate(places.side)}"


def _calibration(scores: OneCause) -> Iterator[str]:
    yield from ("", "Stated probability of the first class against how often it was right:")
    yield f"   {'stated':<14}{'mean':>6}{'right':>30}{'stated less right':>20}"
    yield from (_bin(one) for one in scores.calibration)
    log = scores.mean_log_probability
    shown = "none" if log is None else f"{log:.3f}"
    yield (
        f"Brier score {scores.brier:.3f} (0 is best, 2 worst); mean log probability of the "
        f"true class {shown}"
    )


def _bin(one: Bin) -> str:
    stated = f"{one.stated_from:.2f} to {one.stated_to:.2f}"
    right = f"{_rate(one.hit_rate):>30}"
    return f"   {stated:<14}{one.mean_stated:>6.2f}{right}{one.difference:>+20.2f}"


def _two_causes(scores: TwoCauses) -> Iterator[str]:
    yield from ("", f"Two causes at once: {scores.cases} cases", "-" * 40)
    yield _hits("", "one of them first", "one among the first two")
    yield from _ranked(scores.hits)
    yield f"Recognised as two: {_rate(scores.recognised)}"
    yield f"Both in the best pair: {_rate(scores.both_in_best_pair)}"


def _missed(judged: Iterable[Judged]) -> list[str]:
    missed = [
        f"{one.name}: is {one.truth[0].value}; said {', '.join(one.classes[:AMONG])}"
        for one in judged
        if one.has_one_cause and not one.is_among(AMONG)
    ]
    return _section(f"True class not among the first {AMONG}", missed)


def _section(title: str, sentences: Iterable[str]) -> list[str]:
    lines = [
        line
        for one in sentences
        for line in textwrap.wrap(one, _WIDTH, initial_indent="   * ", subsequent_indent="     ")
    ]
    return ["", f"{title}:", *lines] if lines else []


def _rate(rate: Rate | None) -> str:
    if rate is None:
        return "none"
    return f"{rate.share:.2f} ({rate.lower:.2f} to {rate.upper:.2f}), {rate.hits}/{rate.of}"


def _spread(spread: Spread | None) -> str:
    if spread is None:
        return "none"
    return (
        f"median {spread.median_m:.1f} m, quartiles {spread.lower_quartile_m:.1f} and "
        f"{spread.upper_quartile_m:.1f} m, {spread.count} cases"
    )
