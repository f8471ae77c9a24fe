"""Sightings that cannot be used: past the end of a loop that was shortened since, or no numbers."""

import math
from collections.abc import Iterable
from dataclasses import replace

from diagnostics.inference.evidence import Evidence, Sighting

# Named one by one up to here, then counted.
_MOST_NAMED = 5


def set_aside(evidence: Evidence) -> tuple[Evidence, tuple[Sighting, ...]]:
    """The evidence without sightings off the loop, and those.

    A register is mended while old sightings stand; what lies past its end is left out and told,
    never moved to some other place.

    Raises
    ------
    ValueError
        A position or an offset that is no finite number; forms and files refuse these before.
    """
    for one in evidence.sightings:
        for name, value in (("position_m", one.position_m), ("offset_mm", one.offset_mm)):
            if value is not None and not math.isfinite(value):
                raise ValueError(f"sighting at {one.station}: {name} must be finite, got {value!r}")
    length_m = evidence.conveyor.loop.length_m
    strays = tuple(one for one in evidence.sightings if not 0 <= one.position_m < length_m)
    if not strays:
        return evidence, ()
    kept = tuple(one for one in evidence.sightings if 0 <= one.position_m < length_m)
    return replace(evidence, sightings=kept), strays


def notes_on_strays(strays: tuple[Sighting, ...], length_m: float) -> Iterable[str]:
    for one in strays[:_MOST_NAMED]:
        yield (
            f"{one.station} was noted at {one.position_m:g} m; the loop is {length_m:.1f} m long. "
            "The sighting was left out: mend its position, or the register."
        )
    if len(strays) > _MOST_NAMED:
        yield f"{len(strays) - _MOST_NAMED} more sightings lie off the loop and were left out."
