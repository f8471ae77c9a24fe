"""How far and which way each pulley turns the belt, from the angles of the register."""

from collections.abc import Sequence

from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind

# Angles are written down to whole degrees; wrap and difference of angles may differ by so much.
_NEAR_DEG = 2.0
_USUAL_WAY = {
    ComponentKind.TAIL_PULLEY: -1,
    ComponentKind.HEAD_PULLEY: -1,
    ComponentKind.DRIVE_PULLEY: -1,
    ComponentKind.TAKE_UP_PULLEY: -1,
    ComponentKind.BEND_PULLEY: 1,
    ComponentKind.SNUB_PULLEY: 1,
}


def turns_of(pulleys: Sequence[Part]) -> tuple[float, ...]:
    """Signed turn of the belt at each pulley, counter-clockwise positive. [deg]

    From the angles where they are known; where they are not or do not close the loop, the way in
    which a pulley of its kind usually turns the belt.
    """
    usual = tuple(_USUAL_WAY[part.kind] * (part.wrap_deg or 0.0) for part in pulleys)
    known = tuple(
        turn if turn is not None else plain
        for turn, plain in zip(map(_known_turn, pulleys), usual, strict=True)
    )
    return known if is_closed(known) or not is_closed(usual) else usual


def is_closed(turns: Sequence[float]) -> bool:
    """Whether the belt comes round: tail left and head right, it turns once clockwise."""
    return abs(sum(turns) + 360.0) <= _NEAR_DEG * max(1, len(turns))


def _known_turn(part: Part) -> float | None:
    if part.in_deg is None or part.out_deg is None or part.wrap_deg is None:
        return None
    change = part.out_deg - part.in_deg
    for turn in (change, change + 360.0, change - 360.0):
        if abs(abs(turn) - part.wrap_deg) <= _NEAR_DEG:
            return turn
    return None
