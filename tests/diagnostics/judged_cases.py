"""Answers and judged cases made by hand, the smallest that hold together."""

from diagnostics.inference.answer import Answer, ClassShare, Pair, Sum, Suspicion
from diagnostics.inference.evaluation.judging import Judged, Place
from diagnostics.inference.evaluation.truth import KnownCase, TrueCause
from diagnostics.inference.evidence import Evidence, Sighting
from diagnostics.inference.posterior import Likelihoods
from diagnostics.inference.vocabulary import CauseClass, Pattern
from tests.diagnostics import belts

C = CauseClass


def suspicion(cause_class: CauseClass, **changes) -> Suspicion:
    fields = {
        "cause": "tail_pulley_skewed",
        "zone": None,
        "component": None,
        "position_m": None,
        "position_lower_m": None,
        "position_upper_m": None,
        "belt_position_m": None,
        "side": None,
        "bows_to": None,
        "size": None,
        "size_unit": None,
        "probability": 0.1,
        "reasons": (),
        "against": (),
        "correction": None,
        "sum": Sum(0.1, ()),
    }
    return Suspicion(cause_class=cause_class, **(fields | changes))


def answer(
    shares: dict[CauseClass, float], *ranked: Suspicion, pair: tuple[str, str] | None = None
) -> Answer:
    return Answer(
        pattern=Pattern.FIXED,
        onset=None,
        ranked=ranked,
        classes=tuple(ClassShare(name, share) for name, share in shares.items()),
        pairs=() if pair is None else (Pair(pair, 0.6),),
        sufficient=True,
        next_checks=(),
        cautions=(),
        notes=(),
        likelihoods=Likelihoods(log_evidence={}, features={}),
    )


def known_case(*truth: TrueCause, sightings: tuple[Sighting, ...] = ()) -> KnownCase:
    return KnownCase("K-1", Evidence(belts.conveyor(belts.INCLINE), sightings), truth)


def judged(
    *truth: CauseClass,
    shares: dict[CauseClass, float] | None = None,
    **changes,
) -> Judged:
    fields = {
        "name": "J-1",
        "truth": truth or (C.TAIL_PULLEY,),
        "shares": shares or {C.TAIL_PULLEY: 0.7, C.LOADING: 0.2, C.RETURN_IDLER: 0.1},
        "best_pair": (),
        "is_sufficient": True,
        "place": Place(),
        "peak_effect_mm": None,
        "by_onset": (C.LOADING, C.CARRYING, C.TAIL_PULLEY),
        "by_onset_with_reach": (C.TAIL_PULLEY, C.CARRYING, C.LOADING),
    }
    return Judged(**(fields | changes))
