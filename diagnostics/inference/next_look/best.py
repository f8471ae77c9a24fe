"""Which stations to look at next: expected information about class and place per minute.

One after another, each beside those already chosen: a neighbour that would tell the same tells
nothing more.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.next_look.predicted import Predictions, Suspect, predict
from diagnostics.inference.profile import Profile
from diagnostics.inference.readings import Looks
from diagnostics.inference.vocabulary import CauseClass, LoadState
from diagnostics.mechanics.nodes import Floats
from plant.loop.parts import Station
from plant.loop.path import Loop

# Looking at one station and noting it, walking along a belt; engineering judgement. [min, m/min]
LOOK_MIN = 2.0
WALK_M_PER_MIN = 60.0
# A look that tells less is not worth walking to; engineering judgement. [bit]
LEAST_BITS = 0.005
# Looks of one list keep apart; the eye errs alike on neighbours. Engineering judgement. [m]
APART_M = 5.0
# Stations weighed one against the other, those first whose readings would differ most.
_MOST_WEIGHED = 24
# Knowing the place within a class is worth so much of knowing the class; engineering judgement.
PLACE_SHARE = 0.1


@dataclass(frozen=True)
class Look:
    """A station to look at.

    Attributes
    ----------
    station : Station
    load : LoadState
    information : float
        Expected beside the looks chosen before it. [bit]
    minutes : float
        Walking there and looking.
    tells : tuple of CauseClass
        The two classes it would separate best; empty when only one is in question.
    """

    station: Station
    load: LoadState
    information: float
    minutes: float
    tells: tuple[CauseClass, ...]


def choose_looks(
    conveyor: ConveyorFacts,
    profile: Profile,
    suspects: tuple[Suspect, ...],
    offered: Sequence[tuple[Station, LoadState]],
    count: int,
    from_m: float,
) -> tuple[Look, ...]:
    """The best of the stations offered, in the order in which they tell most per minute.

    Parameters
    ----------
    conveyor : ConveyorFacts
    profile : Profile
        What was read so far.
    suspects : tuple of Suspect
    offered : sequence of (Station, LoadState)
    count : int
        Wanted; fewer where nothing more would tell anything.
    from_m : float
        Loop position from which a person sets out. [m]

    Notes
    -----
    Information of a look about a mixture of suspects, from the Bhattacharyya distances D between
    their predicted readings: ``I = - sum w_i ln sum w_j exp(-D_ij)``, and the same within classes;
    the difference is what it tells about the class. Distances of looks add up once what the
    earlier ones would have told is taken out of the later ones.

    References
    ----------
    Kolchinsky and Tracey, Estimating mixture entropy with pairwise distances, Entropy 19 (2017)
    361, eq. 10 (lower bound).
    """
    if not offered or len(suspects) < 2:
        return ()
    places = Looks(
        np.array([station.position_m for station, _ in offered]),
        tuple(load for _, load in offered),
    )
    state = _State(predict(conveyor, profile, suspects, places), suspects)
    kept = state.kept(_MOST_WEIGHED)
    state.keep(kept)
    left = [offered[one] for one in kept]
    found: list[Look] = []
    while left and len(found) < count:
        told = state.told()
        minutes = [_minutes(conveyor.loop, from_m, station) for station, _ in left]
        best = int(np.argmax(told / np.array(minutes)))
        if told[best] < LEAST_BITS:
            break
        station, load = left[best]
        found.append(Look(station, load, float(told[best]), minutes[best], state.tells(best)))
        state.take(best)
        from_m = station.position_m
        far = [
            number
            for number, (one, _) in enumerate(left)
            if conveyor.loop.apart_m(one.position_m, from_m) > APART_M
        ]
        state.keep(far)
        left = [left[number] for number in far]
    return tuple(found)


class _State:
    """Distances between suspects by the looks chosen, and what each further look would add."""

    def __init__(self, predicted: Predictions, suspects: tuple[Suspect, ...]) -> None:
        self.mean, self.shape = predicted.mean_mm, predicted.shape_mm
        self.cover = predicted.cover_mm2
        self.amplitude_var, self.extra = predicted.amplitude_var, predicted.extra_mm2
        self.weight = np.array([one.weight for one in suspects])
        self.names = tuple(dict.fromkeys(one.cause_class for one in suspects))
        number = np.array([self.names.index(one.cause_class) for one in suspects])
        self.is_alike = number[:, None] == number
        self.member = number[:, None] == np.arange(len(self.names))
        self.said = _said_apart(predicted.remarked)
        self.apart = np.zeros((len(suspects), len(suspects)))

    def kept(self, most: int) -> list[int]:
        """Looks whose predicted readings differ most between suspects, in their order."""
        mean = self.mean @ self.weight
        between = ((self.mean - mean[:, None]) ** 2) @ self.weight
        spread = between + (self.shape**2 * self.amplitude_var) @ self.weight
        best = np.argsort(-spread / np.diag(self.cover), kind="stable")[:most]
        return sorted(int(one) for one in best)

    def keep(self, looks: list[int]) -> None:
        self.mean, self.shape = self.mean[looks], self.shape[looks]
        self.cover = self.cover[np.ix_(looks, looks)]

    def told(self) -> Floats:
        """Bits that each look would add, about the class and in part about the place."""
        self._distances = self._apart_by_look()
        before = self._bits(self.apart[None])[0]
        result: Floats = self._bits(self.apart + self._distances) - before
        return result

    def tells(self, look: int) -> tuple[CauseClass, ...]:
        """The two classes that a look separates best."""
        if len(self.names) < 2:
            return ()
        weights = np.outer(self.weight, self.weight)
        apart = weights * (1 - np.exp(-self._distances[look]))
        by_class = np.triu(self.member.T @ apart @ self.member, 1)
        one, other = np.unravel_index(int(np.argmax(by_class)), by_class.shape)
        return tuple(sorted((self.names[one], self.names[other]), key=self._by_weight))

    def take(self, look: int) -> None:
        """Choose a look: the others are left with what it does not tell."""
        self.apart = self.apart + self._distances[look]
        along = self.cover[:, look] / self.cover[look, look]
        variance = self.cover[look, look] + self.extra
        self.amplitude_var = 1 / (1 / self.amplitude_var + self.shape[look] ** 2 / variance)
        self.mean = self.mean - np.outer(along, self.mean[look])
        self.shape = self.shape - np.outer(along, self.shape[look])
        self.cover = self.cover - np.outer(along, self.cover[look])

    def _by_weight(self, name: CauseClass) -> tuple[float, str]:
        return (-float(self.weight @ self.member[:, self.names.index(name)]), name)

    def _apart_by_look(self) -> Floats:
        """Bhattacharyya distances of the predicted readings, shape (looks, suspects, suspects)."""
        variance = np.diag(self.cover)[:, None] + self.shape**2 * self.amplitude_var + self.extra
        both = variance[:, :, None] + variance[:, None, :]
        apart = 0.25 * (self.mean[:, :, None] - self.mean[:, None, :]) ** 2 / both
        half = 0.25 * np.log(2 * variance)
        apart += 0.5 * np.log(both) - half[:, :, None] - half[:, None, :]
        result: Floats = apart + self.said
        return result

    def _bits(self, apart: Floats) -> Floats:
        """About the class, and a share of what is told about the place within it."""
        near = np.exp(-apart)
        by_class = near @ (self.weight[:, None] * self.member)
        alike = np.sum(by_class * self.member, axis=-1) / (self.is_alike @ self.weight)
        whole = -np.log2(by_class.sum(axis=-1)) @ self.weight
        within = -np.log2(alike) @ self.weight
        result: Floats = whole - (1 - PLACE_SHARE) * within
        return result


def _said_apart(remarked: Floats) -> Floats:
    """Distance of suspects by whether "comes and goes" would be said."""
    yes = np.sqrt(np.outer(remarked, remarked))
    no = np.sqrt(np.outer(1 - remarked, 1 - remarked))
    result: Floats = -np.log(np.minimum(yes + no, 1.0))
    return result


def _minutes(loop: Loop, from_m: float, station: Station) -> float:
    """Walking along the ground, the return run below the carrying run, and looking."""
    way_m = abs(_ground_m(loop, from_m) - _ground_m(loop, station.position_m))
    return LOOK_MIN + way_m / WALK_M_PER_MIN


def _ground_m(loop: Loop, position_m: float) -> float:
    if position_m <= loop.head_m:
        return position_m
    return loop.head_m * (loop.length_m - position_m) / (loop.length_m - loop.head_m)
