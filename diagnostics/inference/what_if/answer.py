"""What is shown: the fault as it was taken, a picture of each load state, and sentences."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.ranking import BOWED
from diagnostics.inference.vocabulary import LoadState
from diagnostics.inference.what_if.measures import Measure
from diagnostics.inference.what_if.picture import Picture, SeenAt
from diagnostics.inference.what_if.standing import Standing
from diagnostics.inference.what_if.walk import stations_of
from diagnostics.mechanics.nodes import Floats
from plant.loop.parts import Station
from plant.loop.vocabulary import Side

# Digits that are printed: a tenth of a millimetre, a centimetre of loop.
_MM_DIGITS, _M_DIGITS = 1, 2


@dataclass(frozen=True)
class Asked:
    """A cause at a place with a size, as the mechanics takes it.

    Attributes
    ----------
    conveyor : ConveyorFacts
    cause : Cause
    standing : Standing
        Of what travels: where it is just now.
    measure : Measure
    size : float
        In the measure's unit, > 0.
    side : Side
        To which the belt is driven where the cause acts.
    belt_position_m : float or None
        Of what travels. [m]
    """

    conveyor: ConveyorFacts
    cause: Cause
    standing: Standing
    measure: Measure
    size: float
    side: Side
    belt_position_m: float | None = None

    @property
    def amplitude(self) -> float:
        """Of the fault family, with its sign: + drives the belt right."""
        return self.side.sign * self.size * self.measure.amplitude_per_unit

    @property
    def size_figure(self) -> str:
        """Three figures: more would claim what nobody can measure."""
        return f"{float(f'{self.size:.3g}'):g}"

    @property
    def travels(self) -> bool:
        return self.standing.kind.travels

    @property
    def bows_to(self) -> Side | None:
        return self.side.opposite if self.cause.slug == BOWED else None

    def picture(
        self,
        load: LoadState,
        position_m: Floats,
        computed_mm: Floats,
        passing_mm: Floats | None = None,
    ) -> Picture:
        """The picture of one load state from what was computed at places of the loop."""
        return Picture(
            load=load,
            loop=self.conveyor.loop,
            clearance_mm=self.conveyor.clearance_mm,
            position_m=position_m,
            computed_mm=computed_mm,
            place_m=self.standing.position_m,
            passing_mm=passing_mm,
        )


@dataclass(frozen=True)
class Shown:
    asked: Asked
    pictures: tuple[Picture, ...]
    notes: tuple[str, ...]

    @cached_property
    def stations(self) -> tuple[Station, ...]:
        """Where the pictures are read, in walking order."""
        return stations_of(self.pictures)

    @property
    def look_for(self) -> tuple[str, ...]:
        """What tells the cause at the belt, from the catalogue."""
        cause = self.asked.cause
        return (cause.shows, cause.confirm.what)

    def as_json(self, case: str | int | None) -> dict[str, Any]:
        """Plain values; keys as those of `diagnose` where they mean the same."""
        asked = self.asked
        standing, is_placed = asked.standing, not asked.travels
        return {
            "case": case,
            "conveyor": asked.conveyor.tag,
            "cause": asked.cause.slug,
            "name": asked.cause.name,
            "class": asked.cause.cause_class.value,
            "pattern": asked.cause.pattern.value,
            "component": standing.component or None,
            "position_m": _rounded(standing.position_m, _M_DIGITS),
            "position_lower_m": _rounded(standing.from_m, _M_DIGITS) if is_placed else None,
            "position_upper_m": _rounded(standing.to_m, _M_DIGITS) if is_placed else None,
            "belt_position_m": asked.belt_position_m,
            "side": asked.side.value,
            "bows_to": None if asked.bows_to is None else asked.bows_to.value,
            "size": asked.size,
            "size_unit": asked.measure.unit,
            "size_is": asked.measure.what,
            "sets": len(standing.rolls) or None,
            "clearance_mm": asked.conveyor.clearance_mm,
            "states": [_state(one, self.stations) for one in self.pictures],
            "look_for": list(self.look_for),
            "notes": list(self.notes),
        }


def _state(picture: Picture, stations: Sequence[Station]) -> dict[str, Any]:
    off = picture.off_centre
    passing = picture.passing_mm
    return {
        "load": picture.load.value,
        "peak_mm": _rounded(picture.peak_mm, _MM_DIGITS),
        "peak_position_m": _rounded(picture.peak_m, _M_DIGITS),
        "computed_peak_mm": _rounded(picture.computed_peak_mm, _MM_DIGITS),
        "hits_clearance": picture.hits_clearance,
        "off_from_m": None if off is None else _rounded(off.from_m, _M_DIGITS),
        "off_to_m": None if off is None else _rounded(off.to_m, _M_DIGITS),
        "reach_upstream_m": _rounded_or_none(picture.reach_upstream_m),
        "reach_downstream_m": _rounded_or_none(picture.reach_downstream_m),
        "positions_m": [_rounded(one, _M_DIGITS) for one in picture.position_m.tolist()],
        "offsets_mm": [_rounded(one, _MM_DIGITS) for one in picture.offset_mm.tolist()],
        "passing_mm": None
        if passing is None
        else [_rounded(one, _MM_DIGITS) for one in passing.tolist()],
        "stations": [_station(one) for one in picture.seen_at(stations)],
    }


def _station(seen: SeenAt) -> dict[str, Any]:
    return {
        "station": seen.station.name,
        "run": seen.station.run.value,
        "position_m": _rounded(seen.station.position_m, _M_DIGITS),
        "offset_mm": _rounded(seen.offset_mm, _MM_DIGITS),
        "degree": seen.degree.value,
        "side": None if seen.side is None else seen.side.value,
    }


def _rounded(value: float, digits: int) -> float:
    # Adding 0 turns -0.0 into 0.0.
    return round(float(value), digits) + 0.0


def _rounded_or_none(value: float | None) -> float | None:
    return None if value is None else _rounded(value, _M_DIGITS)
