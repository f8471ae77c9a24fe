"""Two versions of the knowledge tried on the same confirmed cases: what would have been named.

What the evidence of each case said is kept with its diagnosis, so only rules and base rates run
again; each case is judged by the base rates of all the others. Cases stream through in batches:
ten thousand take seconds and little memory. The one entry is `try_knowledge`.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from diagnostics.inference.base_rates import INSTALLED_WEIGHTS, PriorWeights
from diagnostics.inference.case_counts import PlantCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evaluation.rates import USUAL_LEVEL
from diagnostics.inference.evaluation.verdicts import AMONG, Scores, Verdict, rank_of, scores_of
from diagnostics.inference.many_cases import ConfirmedCase, Floats, ManyCases
from diagnostics.inference.vocabulary import CauseClass

BATCH = 250

Tick = Callable[[int], bool]


@dataclass(frozen=True)
class Told:
    """What one version of the knowledge says of one case.

    Attributes
    ----------
    classes : tuple of (CauseClass, float)
        The first three with their probabilities.
    causes : tuple of str
        Slugs of the first three causes.
    verdict : Verdict
    """

    classes: tuple[tuple[CauseClass, float], ...]
    causes: tuple[str, ...]
    verdict: Verdict


@dataclass(frozen=True)
class Flip:
    """A case in which the true class becomes first or first three, or is so no longer.

    Attributes
    ----------
    key : int
        Of the case.
    truth : tuple of str
        Slugs of its accepted causes.
    before, after : Told
    """

    key: int
    truth: tuple[str, ...]
    before: Told
    after: Told

    @property
    def first(self) -> int:
        """1 where the class named first becomes right, -1 where it becomes wrong, else 0."""
        return int(self.after.verdict.is_first) - int(self.before.verdict.is_first)

    @property
    def among(self) -> int:
        """The same of the first three."""
        return int(self.after.verdict.is_among) - int(self.before.verdict.is_among)


@dataclass(frozen=True)
class Trial:
    """What a trial found.

    Attributes
    ----------
    before, after : Scores or None
        Of both versions on the same cases; None of no case.
    flips : tuple of Flip
        In the order of the cases.
    cases : int
    is_whole : bool
        False when it was stopped before the last case.
    """

    before: Scores | None
    after: Scores | None
    flips: tuple[Flip, ...]
    cases: int
    is_whole: bool

    @property
    def now_first(self) -> tuple[Flip, ...]:
        """First class wrong before, right after."""
        return tuple(one for one in self.flips if one.first > 0)

    @property
    def no_longer_first(self) -> tuple[Flip, ...]:
        return tuple(one for one in self.flips if one.first < 0)

    @property
    def now_among(self) -> tuple[Flip, ...]:
        """True class not among the first three before, among them after."""
        return tuple(one for one in self.flips if one.among > 0)

    @property
    def no_longer_among(self) -> tuple[Flip, ...]:
        return tuple(one for one in self.flips if one.among < 0)


def try_knowledge(
    cases: Iterable[ConfirmedCase],
    *,
    counts: PlantCounts,
    before: Knowledge,
    after: Knowledge,
    weights: PriorWeights = INSTALLED_WEIGHTS,
    weights_after: PriorWeights | None = None,
    level: float = USUAL_LEVEL,
    tick: Tick | None = None,
) -> Trial:
    """What a draft would have named in cases whose causes are known, beside what is in force.

    Parameters
    ----------
    cases : iterable of ConfirmedCase
        Of one plant; read once, a batch at a time.
    counts : PlantCounts
        Of all confirmed cases of the plant, these among them, as the base rates count them.
    before, after : Knowledge
        In force, and tried. A cause that one of them does not know is a miss there.
    weights, weights_after : PriorWeights
        Of the base rates; the second is the first unless given.
    level : float
        Two-sided, of every interval.
    tick : callable, optional
        Told after each batch how many cases are done; the trial stops when it returns False.
    """
    old = ManyCases(before, counts, weights)
    new = ManyCases(after, counts, weights_after or weights)
    verdicts: tuple[list[Verdict], list[Verdict]] = ([], [])
    flips: list[Flip] = []
    is_whole, waiting = True, iter(cases)
    while batch := list(islice(waiting, BATCH)):
        for case, was, will in zip(batch, told(old, batch), told(new, batch), strict=True):
            verdicts[0].append(was.verdict)
            verdicts[1].append(will.verdict)
            flip = Flip(case.key, case.truth, was, will)
            if flip.first or flip.among:
                flips.append(flip)
        if tick is not None and not tick(len(verdicts[0])):
            # Stopped at the very end it is whole all the same.
            is_whole = next(waiting, None) is None
            break
    return Trial(
        before=scores_of(verdicts[0], level),
        after=scores_of(verdicts[1], level),
        flips=tuple(flips),
        cases=len(verdicts[0]),
        is_whole=is_whole,
    )


def told(many: ManyCases, batch: Sequence[ConfirmedCase]) -> Iterator[Told]:
    """What one version says of some cases, each held against its truth."""
    found = many.posterior(batch)
    for case, causes, classes in zip(batch, found.causes, found.classes, strict=True):
        by_cause, by_class = _order(causes), _order(classes)
        yield Told(
            classes=tuple((many.classes[one], float(classes[one])) for one in by_class[:AMONG]),
            causes=tuple(many.causes[one] for one in by_cause[:AMONG]),
            verdict=_verdict(many, case, by_cause, by_class, classes),
        )


def _order(shares: Floats) -> list[int]:
    """The likeliest first; what has no probability is not named."""
    order = np.argsort(-shares, kind="stable")
    return [int(one) for one in order[: int(np.count_nonzero(shares))]]


def _verdict(
    many: ManyCases,
    case: ConfirmedCase,
    by_cause: Sequence[int],
    by_class: Sequence[int],
    classes: Floats,
) -> Verdict:
    causes = {many.index[slug] for slug in case.truth if slug in many.index}
    true = {int(many.class_of[one]) for one in causes}
    likeliest = max(true, key=lambda one: classes[one], default=None)
    of_truth = 0.0 if likeliest is None else float(classes[likeliest])
    squares = float(classes @ classes)
    return Verdict(
        class_rank=rank_of(by_class, true),
        cause_rank=rank_of(by_cause, causes),
        stated=float(classes[by_class[0]]) if by_class else 0.0,
        of_truth=of_truth,
        # sum of (p - o)^2 = sum of p^2 - 2 p(truth) + 1, also where the truth has no class here.
        brier=squares - 2 * of_truth + 1,
    )
