"""Figures of the engine that the telephone computes with; each is stated once, where it belongs."""

import math
from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from diagnostics.inference import (
    catching,
    close_looks,
    effect_sizes,
    features,
    onset_place,
    profile,
    readings,
    sufficiency,
    travelling,
    weighing,
)
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.feature_words import (
    DirectionWord,
    LoadWord,
    OnsetPlace,
    Remark,
    TravelWord,
)
from diagnostics.inference.next_look import best, checks, predicted
from diagnostics.inference.vocabulary import CENTRED_SHARE, Degree
from diagnostics.inference.watching import travel

_RAD_PER_DEG = math.radians(1.0)


def constants_told(conveyor: ConveyorFacts) -> dict[str, Any]:
    return {
        "readings": _readings(),
        "profile": _profile(),
        "travelling": _travelling(conveyor),
        "features": _features(),
        "next": _next(conveyor),
        "sufficient": {
            "least_first": sufficiency.LEAST_FIRST,
            "least_belt": sufficiency.LEAST_BELT,
            "fewest_stations": sufficiency.FEWEST_STATIONS,
        },
        "finding_ratio": close_looks.FINDING_RATIO,
        "reach_m": onset_place.REACH_M,
    }


def _readings() -> dict[str, Any]:
    return {
        "centred_share": CENTRED_SHARE,
        "middle": {one.value: one.share for one in Degree},
        "width": {one.value: high - low for one, (low, high) in readings._BOUNDS.items()},
        "reading_mm": readings.READING_MM,
        "readings_mm": list(readings.READINGS_MM),
    }


def _profile() -> dict[str, Any]:
    return {
        "backgrounds": list(profile.BACKGROUNDS),
        "usual": profile.USUAL_BACKGROUND,
        "wander_mm": profile.WANDER_MM,
        "wander_m": profile.WANDER_M,
        "idler_deg": profile.IDLER_DEG,
        "erratic_mm": profile.ERRATIC_MM,
        "erratic_times": list(profile.ERRATIC_TIMES),
        "least_peak_mm": profile._LEAST_PEAK_MM,
        "peaks_mm": list(effect_sizes.PEAKS_MM),
        "peak_spread": effect_sizes.PEAK_SPREAD,
        "largest": effect_sizes.LARGEST,
    }


def _travelling(conveyor: ConveyorFacts) -> dict[str, Any]:
    looks_s = travelling.LOOKS_S
    return {
        "chance": {
            name: [travelling.chance_of_seeing(conveyor, one, is_long=is_long) for one in looks_s]
            for name, is_long in (("splice", False), ("camber", True))
        },
        "usual": {
            "splice": travelling.USUAL_ANGLE_DEG * _RAD_PER_DEG,
            "camber": travelling.USUAL_CAMBER_PER_M,
        },
        "said_off": _by_word(travelling._SAID_OFF),
        "said_centred": _by_word(travelling._SAID_CENTRED),
        "said_of_erratic": _by_word(travelling._SAID_OF_ERRATIC),
        "said_when_caught": travelling.SAID_WHEN_CAUGHT,
        "least_chance": catching.LEAST_CHANCE,
        "least_passes": travel.LEAST_PASSES,
        "spread_m": travel.POSITION_SPREAD_M,
        "elsewhere": weighing._ELSEWHERE,
        "belt_length_m": conveyor.belt.length_m,
    }


def _by_word(chances: Mapping[Any, float]) -> dict[str, float]:
    """Under an empty word what is said when nothing is."""
    return {word.value if word else "": chance for word, chance in chances.items()}


def _features() -> dict[str, Any]:
    return {
        "surely_off_share": features._SURELY_OFF_SHARE,
        "same_place_m": features._SAME_PLACE_M,
        "decides": features._DECIDES,
        "at_splice_m": features._AT_SPLICE_M,
        "words": {
            "load": _names(LoadWord),
            "travel": _names(TravelWord),
            "direction": _names(DirectionWord),
            "onset": _names(OnsetPlace),
            "remarks": _names(Remark),
        },
    }


def _names(words: type[StrEnum]) -> dict[str, str]:
    return {one.name: one.value for one in words}


def _next(conveyor: ConveyorFacts) -> dict[str, Any]:
    return {
        "drawn": predicted.DRAWN,
        "passing_mm": predicted._PASSING_MM,
        "said_of_fixed": predicted._SAID_OF_FIXED,
        "chance": travelling.chance_of_seeing(conveyor, travelling.LOOKS_S[1], is_long=False),
        "look_min": best.LOOK_MIN,
        "walk_m_per_min": best.WALK_M_PER_MIN,
        "least_bits": best.LEAST_BITS,
        "apart_m": best.APART_M,
        "most_weighed": best._MOST_WEIGHED,
        "place_share": best.PLACE_SHARE,
        "centres": checks._CENTRES,
        "around": checks._AROUND,
        "read_m": checks._STATION_READ_M,
    }
