"""The posterior of many confirmed cases at once, each by the base rates of all the others.

The same product as `posterior.cause_probabilities`, over arrays; a test holds both together.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from diagnostics.inference.base_rates import (
    INSTALLED_WEIGHTS,
    PlantRates,
    PriorWeights,
    plant_rates,
    priors_within,
)
from diagnostics.inference.case_counts import PlantCounts
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.posterior import Likelihoods, log_rule
from diagnostics.inference.priors import Priors, class_weight

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class ConfirmedCase:
    """A case whose cause a person accepted, with what its evidence says.

    Attributes
    ----------
    key : int
        The caller's own, handed back in results.
    likelihoods : Likelihoods
        As kept with the diagnosis that stood before the cause was accepted.
    truth : tuple of str
        Slugs of the accepted causes, at least one; the first is the one the base rates count.
    conveyor : int
        Key of the conveyor, as in the counts.
    """

    key: int
    likelihoods: Likelihoods
    truth: tuple[str, ...]
    conveyor: int


@dataclass(frozen=True)
class Posterior:
    """Of some cases; a row a case.

    Attributes
    ----------
    causes : array, shape (cases, causes)
        Probabilities, in the order of the knowledge; 0 for a cause that was not weighed. A row
        sums to 1, or to 0 where the knowledge has none of the causes that were weighed.
    classes : array, shape (cases, classes)
        The same summed by class, in the order of `ManyCases.classes`.
    held : array of bool, shape (cases, rules)
        Which rules hold, in the order of the knowledge.
    """

    causes: Floats
    classes: Floats
    held: Flags


class ManyCases:
    """One version of the knowledge, laid out for many cases of one plant.

    Parameters
    ----------
    knowledge : Knowledge
    counts : PlantCounts
        Of all confirmed cases of the plant, those asked about among them: each is judged by the
        base rates of all cases but itself. One that is not among them, because it was confirmed
        or changed a moment later, is judged by all.
    weights : PriorWeights
    """

    def __init__(
        self,
        knowledge: Knowledge,
        counts: PlantCounts,
        weights: PriorWeights = INSTALLED_WEIGHTS,
    ) -> None:
        self._knowledge, self._counts, self._weights = knowledge, counts, weights
        self.causes = tuple(knowledge.causes)
        self.classes = tuple(sorted({one.cause_class for one in knowledge.causes.values()}))
        self.index = {slug: number for number, slug in enumerate(self.causes)}
        self.class_index = {name: number for number, name in enumerate(self.classes)}
        own_class = [self.class_index[one.cause_class] for one in knowledge.causes.values()]
        self.class_of = np.array(own_class, dtype=np.intp)
        self._in_class = np.zeros((len(self.causes), len(self.classes)))
        self._in_class[np.arange(len(self.causes)), self.class_of] = 1.0
        self.log_rules = self._rules()
        self._rates: dict[str, PlantRates] = {}
        self._priors: dict[tuple[str, int], tuple[Floats, Floats]] = {}

    def posterior(self, cases: Sequence[ConfirmedCase]) -> Posterior:
        """Probabilities of some cases, best a few hundred at a time."""
        held = np.array([self._holding(one) for one in cases], dtype=bool)
        held = held.reshape(len(cases), len(self._knowledge.rules))
        logs = self._log_priors(cases) + self._log_evidence(cases) + held @ self.log_rules
        top = logs.max(axis=1, keepdims=True, initial=-np.inf)
        # A row of nothing but impossible causes stays nothing.
        shares = np.exp(logs - np.where(np.isfinite(top), top, 0.0))
        whole = shares.sum(axis=1, keepdims=True)
        shares /= np.where(whole > 0, whole, 1.0)
        return Posterior(shares, shares @ self._in_class, held)

    def _rules(self) -> Floats:
        found = np.zeros((len(self._knowledge.rules), len(self.causes)))
        for row, rule in enumerate(self._knowledge.rules):
            for slug, log in log_rule(rule).items():
                if slug in self.index:
                    found[row, self.index[slug]] = log
        return found

    def _holding(self, case: ConfirmedCase) -> list[bool]:
        features, nothing = case.likelihoods.features, frozenset[str]()
        return [
            all(
                not words.isdisjoint(features.get(name, nothing))
                for name, words in rule.when.items()
            )
            for rule in self._knowledge.rules
        ]

    def _log_evidence(self, cases: Sequence[ConfirmedCase]) -> Floats:
        found = np.full((len(cases), len(self.causes)), -np.inf)
        for row, case in enumerate(cases):
            for slug, log in case.likelihoods.log_evidence.items():
                column = self.index.get(slug)
                if column is not None:
                    found[row, column] = log
        return found

    def _log_priors(self, cases: Sequence[ConfirmedCase]) -> Floats:
        """As `priors.log_priors`, over the causes that were weighed in each case."""
        pairs = [self._prior_of(one) for one in cases]
        of_class = np.array([one[0] for one in pairs]).reshape(len(cases), len(self.classes))
        weight = np.array([one[1] for one in pairs]).reshape(len(cases), len(self.causes))
        possible = np.array(
            [[slug in one.likelihoods.log_evidence for slug in self.causes] for one in cases]
        ).reshape(len(cases), len(self.causes))
        weight = np.where(possible, weight, 0.0)
        by_class = weight @ self._in_class
        of_class = np.where(by_class > 0, of_class, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = of_class / of_class.sum(axis=1, keepdims=True)
            logs = np.log(share / by_class)[:, self.class_of] + np.log(weight)
        return np.where(weight > 0, logs, -np.inf)

    def _priors_without(self, slug: str, conveyor: int) -> Priors:
        own, left_out = self._counts.own(conveyor), ""
        plant = self._counts.plant
        if own.confirmed.get(slug):
            (plant, own), left_out = self._counts.without(slug, conveyor), slug
        # The plant's step is the same for all its conveyors.
        if left_out not in self._rates:
            self._rates[left_out] = plant_rates(plant, self._knowledge, self._weights)
        return priors_within(self._rates[left_out], own, self._knowledge, self._weights)

    def _prior_of(self, case: ConfirmedCase) -> tuple[Floats, Floats]:
        """Weights of classes and causes by all the other cases."""
        slug, conveyor = case.truth[0], case.conveyor
        if (slug, conveyor) not in self._priors:
            priors = self._priors_without(slug, conveyor)
            self._priors[slug, conveyor] = (
                np.array([class_weight(name, priors) for name in self.classes]),
                np.array(
                    [
                        one.weight * priors.causes.get(one.slug, 1.0)
                        for one in self._knowledge.causes.values()
                    ]
                ),
            )
        return self._priors[slug, conveyor]
