"""Which rules misled: what each gave the true cause, over the confirmed cases in which it held.

The gain of a rule in a case is what it does to the log score: the logarithm of the probability of
the true cause with the rule less that without it. Below 0 it made the truth less likely.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from scipy.stats import t as student

from diagnostics.inference.base_rates import INSTALLED_WEIGHTS, PriorWeights
from diagnostics.inference.case_counts import PlantCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evaluation.rates import USUAL_LEVEL
from diagnostics.inference.many_cases import ConfirmedCase, Flags, Floats, ManyCases

# Fewer cases say nothing of a rule; engineering judgement.
LEAST_HELD = 10
# What moves the truth by less than half a per cent of its probability moves no ranking: a rule that
# says nothing of the true cause still shifts it by what it takes from others.
LEAST_GAIN = 0.005
_BATCH = 250


@dataclass(frozen=True)
class RuleRecord:
    """One rule over the cases in which it held.

    Attributes
    ----------
    slug : str
    held : int
        Cases.
    hurt, helped : int
        Of these, how often the true cause became less likely by it, and more; by half a per cent
        of its probability at least.
    gain, lower, upper : float or None
        Mean gain with its interval; None where it never held, limits None in a single case.
    """

    slug: str
    held: int
    hurt: int
    helped: int
    gain: float | None
    lower: float | None
    upper: float | None

    @property
    def is_enough(self) -> bool:
        return self.held >= LEAST_HELD

    @property
    def misleads(self) -> bool:
        """Enough cases, and chance alone does not explain that the truth lost by it."""
        return self.is_enough and self.upper is not None and self.upper < 0


@dataclass(frozen=True)
class TrackRecord:
    """Every rule, the surest to mislead first, those with too few cases last; and of how many."""

    rules: tuple[RuleRecord, ...]
    cases: int


def track_record(
    cases: Iterable[ConfirmedCase],
    *,
    knowledge: Knowledge,
    counts: PlantCounts,
    weights: PriorWeights = INSTALLED_WEIGHTS,
    level: float = USUAL_LEVEL,
    tick: Callable[[int], bool] | None = None,
) -> TrackRecord:
    """What every rule gave the true cause of confirmed cases.

    Parameters
    ----------
    cases : iterable of ConfirmedCase
        Read once, a batch at a time. Cases whose true cause is not possible are passed over.
    knowledge : Knowledge
        Its rules are looked at.
    counts, weights
        Of the base rates: each case is judged by those of all the others.
    level : float
        Two-sided, of every interval.
    tick : callable, optional
        Told after each batch how many cases are done; it ends there when it returns False.

    Notes
    -----
    With p the probabilities by all rules, r the log ratios of one rule and c the truth, the
    posterior without the rule has p(c) exp(-r(c)) / sum p exp(-r); so the gain is
    ``r(c) + log sum p exp(-r)``. Interval of the mean by Student's t over the cases.
    """
    many = ManyCases(knowledge, counts, weights)
    tally = _Tally(len(knowledge.rules))
    waiting, done = iter(cases), 0
    while batch := list(islice(waiting, _BATCH)):
        done += len(batch)
        tally.add(*_gains(many, batch))
        if tick is not None and not tick(done):
            break
    records = tally.records([rule.slug for rule in knowledge.rules], level)
    return TrackRecord(tuple(sorted(records, key=_worst_first)), tally.cases)


def _gains(many: ManyCases, batch: Sequence[ConfirmedCase]) -> tuple[Floats, Flags]:
    """Gain of every rule in every case that is possible, and where each rule held."""
    found = many.posterior(batch)
    true = [_likeliest(many, one, row) for one, row in zip(batch, found.causes, strict=True)]
    rows = [row for row, one in enumerate(true) if one is not None]
    columns = [one for one in true if one is not None]
    without = found.causes[rows] @ np.exp(-many.log_rules.T)
    return many.log_rules[:, columns].T + np.log(without), found.held[rows]


def _likeliest(many: ManyCases, case: ConfirmedCase, shares: Floats) -> int | None:
    """Of several true causes the one that got most; None where none has any probability."""
    true = [many.index[slug] for slug in case.truth if slug in many.index]
    best = max(true, key=lambda one: shares[one], default=None)
    return best if best is not None and shares[best] > 0 else None


class _Tally:
    """Sums by rule, so that cases need not be kept."""

    def __init__(self, rules: int) -> None:
        self.cases = 0
        self._held = np.zeros(rules, dtype=int)
        self._hurt = np.zeros(rules, dtype=int)
        self._helped = np.zeros(rules, dtype=int)
        self._sum, self._squares = np.zeros(rules), np.zeros(rules)

    def add(self, gains: Floats, held: Flags) -> None:
        self.cases += len(gains)
        self._held += held.sum(axis=0)
        self._hurt += (held & (gains < -LEAST_GAIN)).sum(axis=0)
        self._helped += (held & (gains > LEAST_GAIN)).sum(axis=0)
        self._sum += np.where(held, gains, 0.0).sum(axis=0)
        self._squares += np.where(held, gains**2, 0.0).sum(axis=0)

    def records(self, slugs: Sequence[str], level: float) -> list[RuleRecord]:
        return [self._record(row, slug, level) for row, slug in enumerate(slugs)]

    def _record(self, row: int, slug: str, level: float) -> RuleRecord:
        held = int(self._held[row])
        counts = held, int(self._hurt[row]), int(self._helped[row])
        if not held:
            return RuleRecord(slug, *counts, None, None, None)
        mean = float(self._sum[row]) / held
        if held == 1:
            return RuleRecord(slug, *counts, mean, None, None)
        spread = max(float(self._squares[row]) - held * mean**2, 0.0) / (held - 1)
        reach = float(student.ppf((1 + level) / 2, held - 1)) * (spread / held) ** 0.5
        return RuleRecord(slug, *counts, mean, mean - reach, mean + reach)


def _worst_first(one: RuleRecord) -> tuple[bool, bool, float, int, str]:
    upper = one.upper if one.upper is not None else float("inf")
    return not one.is_enough, one.upper is None, upper, -one.held, one.slug
