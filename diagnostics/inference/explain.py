"""Why a suspicion stands where it stands, in sentences: reasons for it and against it.

Every sentence carries the factor by which its evidence changed the odds, and the last one
multiplies them out.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.inference.account import Account, Piece, Weight
from diagnostics.inference.answer import Sum, Weighing
from diagnostics.inference.evidence import Evidence, FindingFact
from diagnostics.inference.ranking import Entry
from diagnostics.inference.strength import Strength, in_words, strength_of
from diagnostics.inference.timed_look import Travel
from diagnostics.inference.vocabulary import BELT_CLASSES, LoadState


@dataclass(frozen=True)
class Reasons:
    """Sentences for and against, and the whole sum as it is shown."""

    speaks_for: tuple[str, ...]
    against: tuple[str, ...]
    sum: Sum


def reasons_for(
    entry: Entry, account: Account, evidence: Evidence, travel: Travel | None
) -> Reasons:
    """Every piece of evidence that touches an entry, the strongest first.

    Parameters
    ----------
    entry : Entry
    account : Account
        Of this entry.
    evidence : Evidence
    travel : Travel or None
        The timed look that says most.

    Notes
    -----
    Evidence that only speaks of other causes moves this one by what is left for it: those factors
    are one line of the sum and no reason of their own.
    """
    touching = [one for one in account.weights if _touches(one, entry, evidence)]
    lines = [Weighing(_words(one, entry, evidence, travel), one.factor) for one in touching]
    lines.sort(key=lambda one: -abs(_log(one.factor)))
    said = tuple(lines)
    elsewhere = [one for one in account.weights if one not in touching]
    if elsewhere:
        lines.append(Weighing("Evidence that speaks of other causes only.", _product(elsewhere)))
    total = _sum_in_words(entry, account, [one.factor for one in said])
    return Reasons(
        speaks_for=(*(_worded(one) for one in said if one.factor > 1), total),
        against=tuple(_worded(one) for one in said if one.factor < 1),
        sum=Sum(_exp(account.log_start), tuple(lines)),
    )


def _touches(weight: Weight, entry: Entry, evidence: Evidence) -> bool:
    if weight.piece is Piece.RULE and weight.rule is not None:
        return any(one.cause == entry.cause.slug for one in weight.rule.speaks)
    if weight.piece is Piece.FINDING and weight.finding is not None:
        return weight.finding.cause == entry.cause.slug and _is_here(
            weight.finding, entry, evidence
        )
    return True


def _worded(line: Weighing) -> str:
    return f"{line.says} This {in_words(line.factor)} it ({times(line.factor)})."


def times(factor: float) -> str:
    """A factor as it is written in a sum, two or three figures."""
    if factor >= 1e6:
        return "× over a million"
    if factor < 1e-6:
        return "× under a millionth"
    if factor >= 9.95:
        return f"× {factor:.2g}" if factor < 99.5 else f"× {factor:.0f}"
    if factor >= 0.0995:
        return f"× {factor:.2f}"
    return f"× {factor:.3f}" if factor >= 0.001 else f"× {factor:.6f}"


def percent(share: float) -> str:
    """A share in per cent, never rounded to nothing or to certainty."""
    if share > 0.995:
        return "over 99 %"
    if share >= 0.0995:
        return f"{100 * share:.0f} %"
    return f"{100 * share:.1f} %" if share >= 0.001 else "under 0.1 %"


def odds(log_odds: float) -> str:
    """Odds as "3.2 to 1" or "1 to 41"."""
    if log_odds >= 0:
        return f"{_figures(_exp(log_odds))} to 1"
    return f"1 to {_figures(_exp(-log_odds))}"


def _figures(size: float) -> str:
    if size >= 1e6:
        return "over a million"
    return f"{size:.1f}" if size < 9.95 else f"{size:.0f}"


def _sum_in_words(entry: Entry, account: Account, factors: list[float]) -> str:
    rest = account.log_odds - account.log_start - sum(_log(one) for one in factors)
    parts = [times(one) for one in factors]
    if abs(rest) > math.log(1.005):
        parts.append(f"{times(_exp(rest))} for the rest")
    return (
        f"The sum: odds of {odds(account.log_start)} before anything was seen, "
        f"{', '.join(parts) or 'nothing that moves them'}, make {odds(account.log_odds)}, "
        f"which is {percent(entry.probability)}."
    )


def _product(weights: Iterable[Weight]) -> float:
    return _exp(sum(one.log_factor for one in weights))


def _exp(log: float) -> float:
    return math.exp(min(max(log, -700.0), 700.0))


def _log(factor: float) -> float:
    return math.log(max(factor, 1e-300))


def _words(weight: Weight, entry: Entry, evidence: Evidence, travel: Travel | None) -> str:
    if weight.rule is not None:
        return weight.rule.says
    if weight.finding is not None:
        where = f" at {weight.finding.component}" if weight.finding.component else ""
        says = "found it" if weight.finding.is_present else "did not find it"
        return f"A close inspection{where} {says}."
    if weight.piece is Piece.TIMED:
        return _timed(travel)
    return _seen(weight.factor, entry, evidence)


def _seen(factor: float, entry: Entry, evidence: Evidence) -> str:
    states = _states(evidence)
    if not states:
        return "Nothing was seen along the belt yet."
    like = "like" if factor > 1 else "little like"
    if strength_of(max(factor, 1e-300)) is Strength.HARDLY:
        like = "neither more nor less than others like"
    if entry.cause.cause_class in BELT_CLASSES:
        what = "a place on the belt that is off centre wherever it passes"
    elif entry.position_m is None:
        what = "a belt standing off now here, now there"
    else:
        side = f" to the {evidence.conveyor.side_in_words(entry.side)}" if entry.side else ""
        what = f"a belt driven off{side} at about {entry.position_m:.0f} m"
    return f"What was seen along the belt ({states}) looks {like} {what}."


def _states(evidence: Evidence) -> str:
    counts = {
        load: sum(one.load is load and not one.is_running_backwards for one in evidence.sightings)
        for load in (LoadState.LOADED, LoadState.EMPTY)
    }
    return ", ".join(f"{count} {load}" for load, count in counts.items() if count)


def _timed(travel: Travel | None) -> str:
    if travel is None:
        return "Nothing was timed."
    passes = f"In {travel.passes:.1f} turns of the belt"
    if travel.log_ratio <= 0:
        return f"{passes} nothing came round with it."
    if travel.belt_position_m is None:
        return f"{passes} the belt moved over at the same moment of each turn."
    return (
        f"{passes} the belt moved over at the same moment of each turn, with the place "
        f"{travel.belt_position_m:.0f} m ahead of the reference splice."
    )


def _is_here(finding: FindingFact, entry: Entry, evidence: Evidence) -> bool:
    if finding.component is None:
        return True
    if entry.position_m is None or entry.lower_m is None or entry.upper_m is None:
        return True
    if entry.component is not None and finding.component.casefold() == entry.component.casefold():
        return True
    station = evidence.conveyor.loop.station_named(finding.component)
    return station is not None and entry.lower_m <= station.position_m <= entry.upper_m
