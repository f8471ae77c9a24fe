"""Finds causes by plain words, as a person types them at the belt."""

import math
from collections.abc import Iterable

from diagnostics.inference.causes import Cause
from diagnostics.inference.search_words import EMPTY_WORDS, stem, words_of

# A word in the name says more than the same word in the description; engineering judgement.
_NAME, _SHOWS, _REST = 6.0, 2.0, 1.0
# Causes this far below the best match are left out; engineering judgement.
_LEAST_SHARE = 0.3


def search_causes(causes: Iterable[Cause], typed: str) -> tuple[Cause, ...]:
    """Causes whose texts hold the typed words, best first.

    A technician types "squeal at the head", not a slug. Rare words weigh more than common ones,
    so "belt" hardly matters; endings are cut, so "rubbing" finds "rubs".

    Parameters
    ----------
    causes : iterable of Cause
    typed : str
        Any words; without a word to go by all causes come back in their own order.

    Returns
    -------
    tuple of Cause
        Empty when no word is found anywhere.
    """
    listed = tuple(causes)
    words = _stems(typed)
    if not words:
        return listed
    weights = [_weights_by_stem(cause) for cause in listed]
    rarity = {word: _rarity(word, weights) for word in words}
    scores = [sum(rarity[word] * _found(word, one) for word in words) for one in weights]
    best = max(scores, default=0.0)
    if best == 0:
        return ()
    ranked = sorted(zip(scores, listed, strict=True), key=lambda pair: -pair[0])
    return tuple(cause for score, cause in ranked if score >= _LEAST_SHARE * best)


def _rarity(word: str, weights: list[dict[str, float]]) -> float:
    having = sum(1 for one in weights if _found(word, one))
    return math.log((len(weights) + 1) / (having + 0.5)) if having else 0.0


def _found(word: str, weights: dict[str, float]) -> float:
    """Weight of the best stem that begins as typed; three letters are enough to begin with."""
    if word in weights:
        return weights[word]
    if len(word) < 3:
        return 0.0
    return 0.7 * max((value for stem, value in weights.items() if stem.startswith(word)), default=0)


def _weights_by_stem(cause: Cause) -> dict[str, float]:
    rest = " ".join(
        (
            cause.slug,
            cause.confirm.what,
            cause.correct,
            *(kind.replace("_", " ") for kind in sorted(cause.stands_at)),
        )
    )
    weights: dict[str, float] = {}
    for text, weight in ((rest, _REST), (cause.shows, _SHOWS), (cause.name, _NAME)):
        weights.update(dict.fromkeys(_stems(text), weight))
    return weights


def _stems(text: str) -> set[str]:
    return {stem(word) for word in words_of(text) if word not in EMPTY_WORDS}
