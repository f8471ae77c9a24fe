"""What the reader of a picture must know: what was taken for what, and how far to trust it."""

import math
from collections.abc import Iterable, Mapping, Sequence

from diagnostics.inference.belt_lines import USUAL_LOAD_KG_M2
from diagnostics.inference.features import splice_distance_m
from diagnostics.inference.vocabulary import CauseClass, LoadState
from diagnostics.inference.what_if.answer import Asked
from diagnostics.inference.what_if.causes_asked import FaultKind
from diagnostics.inference.what_if.picture import Picture
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import SLIP_ANGLE_RAD, USUAL_TENSION_N
from plant.loop.path import belt_revolution_time_s

# The closed forms overstate on loops shorter than so many widths of the shape; own derivation.
_SHORT_LOOP_WIDTHS = 15.0
# A splice nearer than this is the one that is meant. [m]
_AT_SPLICE_M = 5.0
LINEAR = (
    "A computed picture, not a reading and no instruction. The model is linear: twice the fault is "
    "twice the offset, and several faults at once add up."
)
GRIP = (
    "How hard a roll grips the belt is uncertain by a factor of two, and the size of the offset "
    "with it. Place and side are surer than millimetres."
)
# The trade's experience of pulleys, kept as evidence beside the computed shape.
_LATE = (
    "The trade also knows belts that arrive central at such a pulley and stand off only behind it. "
    "The model does not show that; a diagnosis keeps both as evidence."
)
_GRIPPED = frozenset(FaultKind) - {FaultKind.SPLICE, FaultKind.CAMBER}


def notes_on(
    asked: Asked, pictures: Sequence[Picture], models: Mapping[LoadState, LateralModel]
) -> tuple[str, ...]:
    """Sentences, the ones about the model first."""
    return (
        LINEAR,
        *((GRIP,) if asked.standing.kind in _GRIPPED else ()),
        *_about_size(asked),
        *_about_fault(asked),
        *_about_travelling(asked, models),
        *_about_reach(asked, pictures),
        *(one for picture in pictures for one in _about_edges(asked, picture)),
        *_about_centring(models),
        *_about_register(asked, models),
    )


def _about_size(asked: Asked) -> Iterable[str]:
    if asked.measure.is_own:
        return
    unit = asked.cause.size_unit
    counted = f"counts this cause in {unit}" if unit else "gives this cause no size"
    yield (
        f"The catalogue {counted}; how much of it moves the belt is not known. The size here is "
        f"{asked.measure.what}, in {asked.measure.unit}."
    )


def _about_fault(asked: Asked) -> Iterable[str]:
    standing, kind = asked.standing, asked.standing.kind
    if kind is FaultKind.IDLERS and len(standing.rolls) > 1:
        yield (
            f"{len(standing.rolls)} neighbouring sets about {standing.component}, "
            f"{standing.from_m:.1f} to {standing.to_m:.1f} m, stand alike: one alone moves the "
            "belt by little."
        )
    if kind in (FaultKind.IDLERS, FaultKind.STUCK) and asked.size > math.degrees(SLIP_ANGLE_RAD):
        yield (
            f"From about {math.degrees(SLIP_ANGLE_RAD):g} deg on a roll slips under the belt and "
            "steers no harder; the picture goes on in proportion and overstates."
        )
    if kind is FaultKind.BOW:
        yield (
            f"The bow is {standing.to_m - standing.from_m:g} m long, its idlers turned with it. "
            "The belt cuts the corner and stands off toward the inside; offsets are counted from "
            "the structure as it is, bowed."
        )
    if kind in (FaultKind.SKEW, FaultKind.TAPER):
        yield _LATE
    if kind is FaultKind.LOADING:
        yield "Material that lands off centre does not move the empty belt."


def _about_travelling(asked: Asked, models: Mapping[LoadState, LateralModel]) -> Iterable[str]:
    if not asked.travels:
        return
    conveyor, belt_at_m = asked.conveyor, asked.belt_position_m or 0.0
    turn_s = belt_revolution_time_s(conveyor.belt.length_m, conveyor.speed_mps)
    yield (
        f"It travels with the belt: each place sees it once in {turn_s:.0f} s. The line gives the "
        "largest offset at each place as it passes, not a belt that stands off everywhere at once."
    )
    if belt_at_m:
        before_s = belt_at_m / abs(conveyor.speed_mps)
        yield (
            f"It passes {before_s:.1f} s before the reference splice: {belt_at_m:g} m ahead of it "
            "on the belt."
        )
    is_splice = asked.cause.cause_class is CauseClass.BELT_SPLICE
    if is_splice and splice_distance_m(conveyor.belt, belt_at_m) > _AT_SPLICE_M:
        yield f"The register has no splice at {belt_at_m:g} m of the belt."
    width_m = max(
        math.sqrt(one.line.data.belt.bending_n_m2 / float(one.line.tension_n.min()))
        for one in models.values()
    )
    if conveyor.loop.length_m < _SHORT_LOOP_WIDTHS * width_m:
        yield "On a loop as short as this the offsets may be overstated by up to a factor of two."


def _about_reach(asked: Asked, pictures: Sequence[Picture]) -> Iterable[str]:
    for one in pictures:
        if asked.travels and not one.is_off_somewhere:
            yield f"{_state(one)}: too little to see, under 0.15 of the clearance as it passes."
        elif not one.is_off_somewhere:
            yield f"{_state(one)}: nowhere off centre by 0.15 of the clearance."
        elif not asked.travels and one.off_centre is None:
            yield f"{_state(one)}: the belt is off centre all round, so that it has no beginning."
        if one.is_off_somewhere and one.computed_peak_mm * asked.side.sign < 0:
            yield (
                f"{_state(one)}: the largest offset lies on the other side, "
                f"{abs(one.computed_peak_mm):.0f} mm at {one.peak_m:.1f} m."
            )


def _about_edges(asked: Asked, picture: Picture) -> Iterable[str]:
    if picture.hits_clearance:
        yield (
            f"{_state(picture)}: the belt would touch. Its offset is cut at the clearance of "
            f"{picture.clearance_mm:g} mm; without it the model says "
            f"{abs(picture.computed_peak_mm):.0f} mm."
        )


def _about_centring(models: Mapping[LoadState, LateralModel]) -> Iterable[str]:
    for load, model in models.items():
        if model.is_adrift:
            yield (
                f"{load.value.capitalize()}: next to nothing centres this belt, it keeps "
                f"{min(model.loop_gain, 1.0):.0%} of an offset from one turn to the next. It "
                "drifts; the figures are a guess."
            )


def _about_register(asked: Asked, models: Mapping[LoadState, LateralModel]) -> Iterable[str]:
    conveyor = asked.conveyor
    if conveyor.take_up_tension_kn is None:
        yield f"The belt tension is not registered; {USUAL_TENSION_N / 1000:g} kN was taken."
    if conveyor.capacity_tph is None and LoadState.LOADED in models:
        yield (
            f"The capacity is not registered; a load of {USUAL_LOAD_KG_M2:g} kg a square metre of "
            "belt was taken."
        )
    if conveyor.is_reversing:
        yield "Computed for the belt running in carrying travel."


def _state(picture: Picture) -> str:
    return picture.load.value.capitalize()
