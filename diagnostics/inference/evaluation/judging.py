"""One answer held against the truth of its case."""

from dataclasses import dataclass

from diagnostics.inference.answer import Answer, Suspicion
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evaluation.onset_rule import ranked_by_onset
from diagnostics.inference.evaluation.truth import KnownCase, TrueCause
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.onset import find_onset
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Run


@dataclass(frozen=True)
class Place:
    """How far an answer's place lies from the true one; None where either names none.

    Attributes
    ----------
    run : Run or None
        Of the true place.
    error_m : float or None
        Shortest way round the loop to the best entry of the true class. [m]
    onset_error_m : float or None
        The same to the first place off centre. [m]
    belt_error_m : float or None
        Along the belt, shortest way, for what travels. [m]
    side_is_right : bool or None
    """

    run: Run | None = None
    error_m: float | None = None
    onset_error_m: float | None = None
    belt_error_m: float | None = None
    side_is_right: bool | None = None


@dataclass(frozen=True)
class Judged:
    """One case: what is true, what was said, and what the rule of the onset would have said.

    Attributes
    ----------
    name : str or int
    truth : tuple of CauseClass
        One or two.
    shares : dict of CauseClass to float
        Probability of every class of the answer, in its order.
    best_pair : tuple of CauseClass
        Classes of the likeliest explanation by two causes, empty when one was enough.
    is_sufficient : bool
        Whether the answer says that the evidence supports it.
    place : Place
        Of the first true cause.
    peak_effect_mm : float or None
        Of the first true cause, as the file states it. [mm]
    by_onset, by_onset_with_reach : tuple of CauseClass
        Classes in the order of the rule of the first place off centre.
    """

    name: str | int
    truth: tuple[CauseClass, ...]
    shares: dict[CauseClass, float]
    best_pair: tuple[CauseClass, ...]
    is_sufficient: bool
    place: Place
    peak_effect_mm: float | None
    by_onset: tuple[CauseClass, ...]
    by_onset_with_reach: tuple[CauseClass, ...]

    @property
    def classes(self) -> tuple[CauseClass, ...]:
        return tuple(self.shares)

    @property
    def has_one_cause(self) -> bool:
        return len(self.truth) == 1

    @property
    def first_is_right(self) -> bool:
        return self.is_among(1)

    @property
    def stated(self) -> float:
        """Probability that the answer gives to its first class."""
        return next(iter(self.shares.values()), 0.0)

    @property
    def stated_of_truth(self) -> float:
        """Probability that the answer gives to the true class, 0 when it does not name it."""
        return self.shares.get(self.truth[0], 0.0)

    def is_among(self, count: int) -> bool:
        """Whether a true class is among the first so many."""
        return any(one in self.truth for one in self.classes[:count])


def judge(case: KnownCase, answer: Answer, knowledge: Knowledge) -> Judged:
    """Hold an answer against the truth of its case.

    Parameters
    ----------
    case : KnownCase
    answer : Answer
        What the engine said to the case's evidence.
    knowledge : Knowledge
        The version it was given; it tells the class of each cause of a pair.
    """
    conveyor = case.evidence.conveyor
    onset = find_onset(conveyor, case.evidence.sightings)
    pair = answer.pairs[0].causes if answer.pairs else ()
    return Judged(
        name=case.name,
        truth=tuple(one.cause_class for one in case.truth),
        shares={one.cause_class: one.probability for one in answer.classes},
        best_pair=tuple(knowledge.causes[slug].cause_class for slug in pair),
        is_sufficient=answer.sufficient,
        place=_place(case.truth[0], answer, conveyor, None if onset is None else onset.position_m),
        peak_effect_mm=case.truth[0].peak_effect_mm,
        by_onset=ranked_by_onset(conveyor, onset, with_reach=False),
        by_onset_with_reach=ranked_by_onset(conveyor, onset, with_reach=True),
    )


def _place(
    true: TrueCause, answer: Answer, conveyor: ConveyorFacts, onset_m: float | None
) -> Place:
    loop, at_m = conveyor.loop, true.position_m
    best = next((one for one in answer.ranked if one.cause_class is true.cause_class), None)
    said_m = None if best is None else best.position_m
    return Place(
        run=None if at_m is None else loop.run_at(at_m),
        error_m=None if at_m is None or said_m is None else loop.apart_m(said_m, at_m),
        onset_error_m=None if at_m is None or onset_m is None else loop.apart_m(onset_m, at_m),
        belt_error_m=_belt_error_m(true, best, conveyor.belt.length_m),
        side_is_right=_side_is_right(true, best),
    )


def _belt_error_m(true: TrueCause, best: Suspicion | None, length_m: float) -> float | None:
    said_m = None if best is None else best.belt_position_m
    if true.belt_position_m is None or said_m is None:
        return None
    way_m = (said_m - true.belt_position_m) % length_m
    return min(way_m, length_m - way_m)


def _side_is_right(true: TrueCause, best: Suspicion | None) -> bool | None:
    if true.driven_side is None or best is None or best.side is None:
        return None
    return best.side is true.driven_side
