"""Why a suspicion stands where it stands, in sentences: reasons for it and against it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.inference.causes import Rule
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.ranking import Entry
from diagnostics.inference.scoring import FINDING_RATIO
from diagnostics.inference.strength import Strength, in_words, strength_of
from diagnostics.inference.timed_look import Travel
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, LoadState

# A timed place this many standard deviations off a splice is another place.
AT_SPLICE_SPREADS = 3.0


@dataclass(frozen=True)
class Reasons:
    speaks_for: tuple[str, ...]
    against: tuple[str, ...]


@dataclass(frozen=True)
class _Weighted:
    ratio: float
    says: str


def reasons_for(
    entry: Entry, rules: Iterable[Rule], evidence: Evidence, travel: Travel | None
) -> Reasons:
    """Every piece of evidence that touches an entry, the strongest first.

    Parameters
    ----------
    entry : Entry
    rules : iterable of Rule
        Those whose conditions hold.
    evidence : Evidence
    travel : Travel or None
        The timed look that says most.
    """
    weighted = [
        *_from_profile(entry, evidence),
        *_from_timed_look(entry, evidence, travel),
        *_from_findings(entry, evidence),
        *_from_rules(entry, rules),
    ]
    return Reasons(
        speaks_for=_worded(one for one in weighted if one.ratio > 1),
        against=_worded(one for one in weighted if one.ratio < 1),
    )


def _worded(weighted: Iterable[_Weighted]) -> tuple[str, ...]:
    ordered = sorted(weighted, key=lambda one: -max(one.ratio, 1 / one.ratio))
    return tuple(f"{one.says} This {in_words(one.ratio)} it." for one in ordered)


def _from_rules(entry: Entry, rules: Iterable[Rule]) -> list[_Weighted]:
    return [
        _Weighted(one.ratio, rule.says)
        for rule in rules
        for one in rule.speaks
        if one.cause == entry.cause.slug
    ]


def _from_profile(entry: Entry, evidence: Evidence) -> list[_Weighted]:
    seen = [one for one in evidence.sightings if not one.is_running_backwards]
    if not seen or entry.cause.cause_class in BELT_CLASSES:
        return []
    fit = _bounded(entry.log_fit)
    if strength_of(fit) is Strength.HARDLY:
        return []
    states = _states(evidence)
    if entry.position_m is None:
        what = "standing off now here, now there, as it would then"
    else:
        side = f" to the {evidence.conveyor.side_in_words(entry.side)}" if entry.side else ""
        what = f"a belt driven off{side} at about {entry.position_m:.0f} m"
    if fit > 1:
        text = f"What was seen along the belt ({states}) looks like {what}."
    else:
        text = f"What was seen along the belt ({states}) looks little like {what}."
    return [_Weighted(fit, text)]


def _states(evidence: Evidence) -> str:
    counts = {
        load: sum(one.load is load and not one.is_running_backwards for one in evidence.sightings)
        for load in (LoadState.LOADED, LoadState.EMPTY)
    }
    return ", ".join(f"{count} {load}" for load, count in counts.items() if count)


def _from_timed_look(entry: Entry, evidence: Evidence, travel: Travel | None) -> list[_Weighted]:
    if travel is None or travel.is_too_short or travel.log_ratio == 0:
        return []
    fits = entry.cause.cause_class in BELT_CLASSES and not _is_other_splice(entry, evidence, travel)
    passes = f"In {travel.passes:.1f} turns of the belt"
    if travel.log_ratio < 0:
        text = f"{passes} nothing came round with it."
    elif travel.belt_position_m is None:
        text = f"{passes} the belt moved over at the same moment of each turn."
    else:
        text = (
            f"{passes} the belt moved over at the same moment of each turn, with the place "
            f"{travel.belt_position_m:.0f} m ahead of the reference splice."
        )
    ratio = _bounded(travel.log_ratio)
    return [_Weighted(ratio if fits else 1 / ratio, text)]


def _is_other_splice(entry: Entry, evidence: Evidence, travel: Travel) -> bool:
    """A splice that was not at the place timed on the belt."""
    if entry.cause.cause_class is not CauseClass.BELT_SPLICE:
        return False
    if entry.belt_position_m is None or travel.belt_position_m is None:
        return False
    length_m = evidence.conveyor.belt.length_m
    way = (entry.belt_position_m - travel.belt_position_m) % length_m
    return min(way, length_m - way) > AT_SPLICE_SPREADS * travel.spread_m


def _bounded(log_ratio: float) -> float:
    """A ratio for the words only; beyond "strongly" they do not grow."""
    most = Strength.STRONGLY.ratio * 2
    return min(max(math.exp(min(log_ratio, math.log(most))), 1 / most), most)


def _from_findings(entry: Entry, evidence: Evidence) -> list[_Weighted]:
    found = []
    for finding in evidence.findings:
        elsewhere = finding.component is not None and not _is_here(
            finding.component, entry, evidence
        )
        if finding.cause != entry.cause.slug or elsewhere:
            continue
        where = f" at {finding.component}" if finding.component else ""
        says = "found it" if finding.is_present else "did not find it"
        ratio = FINDING_RATIO if finding.is_present else 1 / FINDING_RATIO
        found.append(_Weighted(ratio, f"A close inspection{where} {says}."))
    return found


def _is_here(component: str, entry: Entry, evidence: Evidence) -> bool:
    if entry.position_m is None or entry.lower_m is None or entry.upper_m is None:
        return True
    if entry.component is not None and component.casefold() == entry.component.casefold():
        return True
    station = evidence.conveyor.loop.station_named(component)
    return station is not None and entry.lower_m <= station.position_m <= entry.upper_m
