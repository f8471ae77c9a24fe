"""How strongly evidence speaks, as a word beside its likelihood ratio; the one scale of the site.

The words stand for these ratios: slightly 2, clearly 4, strongly 8; against a cause, one over them.
Engineering judgement, to be calibrated on confirmed cases.
"""

import math
from enum import StrEnum


class Strength(StrEnum):
    HARDLY = "hardly"
    SLIGHTLY = "slightly"
    CLEARLY = "clearly"
    STRONGLY = "strongly"

    @property
    def ratio(self) -> float:
        """The likelihood ratio the word stands for, in favour of a cause."""
        return _RATIOS[self]


_RATIOS = {
    Strength.HARDLY: 1.0,
    Strength.SLIGHTLY: 2.0,
    Strength.CLEARLY: 4.0,
    Strength.STRONGLY: 8.0,
}


def strength_of(ratio: float) -> Strength:
    """The word whose ratio is nearest, for or against alike.

    Parameters
    ----------
    ratio : float
        Likelihood ratio, finite and above 0; 0.5 is as strong against as 2 is in favour.

    Raises
    ------
    ValueError
        If the ratio is not finite or not above 0.
    """
    if not (math.isfinite(ratio) and ratio > 0):
        raise ValueError(f"ratio must be finite and above 0, got {ratio!r}")
    weight = abs(math.log(ratio))
    return min(Strength, key=lambda word: abs(math.log(word.ratio) - weight))


def in_words(ratio: float) -> str:
    """'speaks clearly for', 'speaks slightly against', or 'says little about'."""
    word = strength_of(ratio)
    if word is Strength.HARDLY:
        return "says little about"
    return f"speaks {word.value} {'for' if ratio > 1 else 'against'}"
