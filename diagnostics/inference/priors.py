"""How likely each cause is before anything was seen: base rates of classes, shares within them."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass

# What rubs, blows or freezes is rarer than the nine classes; engineering judgement.
SURROUNDINGS_PRIOR = 0.3


@dataclass(frozen=True)
class Priors:
    """Learned weights; what is not named weighs 1, so that none at all means equal classes.

    Attributes
    ----------
    classes : mapping of CauseClass to float
        Of a class against other classes, > 0.
    causes : mapping of str to float
        Of a cause against the others of its class, by slug, >= 0, on top of the catalogue's weight.
    """

    classes: Mapping[CauseClass, float] = field(default_factory=dict)
    causes: Mapping[str, float] = field(default_factory=dict)

    def as_json(self) -> dict[str, dict[str, float]]:
        return {
            "classes": {name.value: weight for name, weight in self.classes.items()},
            "causes": dict(self.causes),
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Mapping[str, float]]) -> "Priors":
        """The inverse of `as_json`."""
        classes = {CauseClass(name): weight for name, weight in kept["classes"].items()}
        return cls(classes, dict(kept["causes"]))


def log_priors(possible: Iterable[Cause], priors: Priors) -> dict[str, float]:
    """Log probability of each possible cause before the evidence, by slug; they sum to 1.

    Parameters
    ----------
    possible : iterable of Cause
        Those that can stand on the conveyor; a cause of weight 0 is left out.
    priors : Priors

    Notes
    -----
    ``p(cause) = W(class) w(cause) / sum of w in the class``, over the sum of W of the classes that
    have a cause.
    """
    weight = {one: one.weight * priors.causes.get(one.slug, 1.0) for one in possible}
    weight = {one: weighs for one, weighs in weight.items() if weighs > 0}
    by_class: dict[CauseClass, float] = {}
    for one, weighs in weight.items():
        by_class[one.cause_class] = by_class.get(one.cause_class, 0.0) + weighs
    whole = sum(class_weight(name, priors) for name in by_class)
    return {
        one.slug: math.log(class_weight(one.cause_class, priors) / whole)
        + math.log(weighs / by_class[one.cause_class])
        for one, weighs in weight.items()
    }


def class_weight(name: CauseClass, priors: Priors) -> float:
    """Weight of a class against the other classes, before it is known which are possible."""
    usual = SURROUNDINGS_PRIOR if name is CauseClass.SURROUNDINGS else 1.0
    return usual * priors.classes.get(name, 1.0)
