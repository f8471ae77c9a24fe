"""How the probability of a suspicion came about: odds at the start, and factors on them.

Each piece of evidence multiplies the odds of an entry by how much better the entry explains that
piece than the other suspicions do, as they stood before. The factors multiply from the start to
the answer exactly, so that a person can check the sum; their logarithms are weights of evidence
and add up. Reference: Bayes' rule in odds form, identity.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from diagnostics.inference.causes import Rule
from diagnostics.inference.evidence import FindingFact
from diagnostics.inference.posterior import log_rule
from diagnostics.inference.ranking import Entry
from diagnostics.inference.scoring import Standing
from diagnostics.mechanics.nodes import Floats

# Log of the largest share that odds are stated of; beyond it the last digits are noise.
_AS_GOOD_AS_CERTAIN = -1e-12


class Piece(StrEnum):
    """What a factor stands for."""

    SEEN = "seen"
    TIMED = "timed"
    RULE = "rule"
    FINDING = "finding"


@dataclass(frozen=True)
class Weight:
    """One piece of evidence on one suspicion.

    Attributes
    ----------
    piece : Piece
    log_factor : float
        Natural log of the factor on the odds; above 0 it speaks for the suspicion.
    rule, finding
        Which one, where the piece is one.
    """

    piece: Piece
    log_factor: float
    rule: Rule | None = None
    finding: FindingFact | None = None

    @property
    def factor(self) -> float:
        return math.exp(min(max(self.log_factor, -700.0), 700.0))


@dataclass(frozen=True)
class Account:
    """The sum of one suspicion: ``log_odds = log_start + sum of the log factors``."""

    log_start: float
    weights: tuple[Weight, ...]

    @property
    def log_odds(self) -> float:
        return self.log_start + sum(one.log_factor for one in self.weights)


class Accounts:
    """The sums of one case, asked entry by entry.

    Parameters
    ----------
    standings : tuple of Standing
    log_prior : mapping of str to float
        By cause, before the evidence.
    rules : tuple of Rule
        Those that hold.
    findings : tuple of FindingFact
    """

    def __init__(
        self,
        standings: tuple[Standing, ...],
        log_prior: Mapping[str, float],
        rules: tuple[Rule, ...],
        findings: tuple[FindingFact, ...],
    ) -> None:
        self._standings = {one.cause.slug: one for one in standings}
        self._log_prior = log_prior
        told = dict.fromkeys(self._standings, 0.0)
        self._pieces: list[tuple[Piece, Rule | None, FindingFact | None]] = []
        self._added: list[Mapping[str, Floats | float]] = []
        self._put(Piece.SEEN, {slug: one.weighed.log_seen for slug, one in self._named()})
        if any(one.weighed.log_timed.any() for one in standings):
            self._put(Piece.TIMED, {slug: one.weighed.log_timed for slug, one in self._named()})
        for rule in rules:
            said = log_rule(rule)
            if said.keys() & told.keys():
                self._put(Piece.RULE, {**told, **said}, rule=rule)
        for number, finding in enumerate(findings):
            self._put(
                Piece.FINDING,
                {slug: one.weighed.log_found[number] for slug, one in self._named()},
                finding=finding,
            )
        self._wholes = self._normalisers()

    def of(self, entry: Entry) -> Account:
        slug, places = entry.cause.slug, list(entry.members)
        running = self._log_prior[slug] + self._standings[slug].weighed.log_share[places]
        log_start = before = _log_odds(_log_sum(running))
        weights = []
        for (piece, rule, finding), added, whole in zip(
            self._pieces, self._added, self._wholes, strict=True
        ):
            more = added[slug]
            running = running + (more[places] if isinstance(more, np.ndarray) else more)
            after = _log_odds(_log_sum(running) - whole)
            weights.append(Weight(piece, after - before, rule, finding))
            before = after
        return Account(log_start, tuple(weights))

    def _named(self) -> Iterable[tuple[str, Standing]]:
        return self._standings.items()

    def _put(
        self,
        piece: Piece,
        added: Mapping[str, Floats | float],
        rule: Rule | None = None,
        finding: FindingFact | None = None,
    ) -> None:
        self._pieces.append((piece, rule, finding))
        self._added.append(added)

    def _normalisers(self) -> list[float]:
        """Log of the whole weight of all suspicions after each piece."""
        running = {
            slug: self._log_prior[slug] + one.weighed.log_share for slug, one in self._named()
        }
        wholes = []
        for added in self._added:
            running = {slug: log + added[slug] for slug, log in running.items()}
            wholes.append(_log_sum(np.concatenate(list(running.values()))))
        return wholes


def _log_sum(logs: Floats) -> float:
    top = float(logs.max())
    return top + math.log(float(np.exp(logs - top).sum()))


def _log_odds(log_share: float) -> float:
    """Of a share that may be as good as all or nothing."""
    log_share = min(log_share, _AS_GOOD_AS_CERTAIN)
    return log_share - math.log(-math.expm1(log_share))
