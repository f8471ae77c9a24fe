"""Named stretches of the loop; together they cover it once, without gap or overlap."""

from dataclasses import dataclass

from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Zone

# A load point without a stated skirtboard: length of a common short skirt; engineering judgement.
USUAL_SKIRT_M = 3.0
# The belt "at the head" or "at the tail": this far before it meets the pulley and after it has
# left it, a few idlers; engineering judgement.
PULLEY_NEIGHBOURHOOD_M = 3.0
# The tail's hold on the belt does not reach farther; a load point beyond stands on the open run.
TAIL_REACH_M = 8.0


@dataclass(frozen=True)
class Stretch:
    """Loop positions from start (included) to end (not included), 0 <= start < end <= length. [m]

    The tail's stretch passes the seam and is therefore held as two.
    """

    zone: Zone
    start_m: float
    end_m: float


def stretches(loop: Loop) -> tuple[Stretch, ...]:
    """The zones of a loop in the order of travel from the tail's leaving tangent.

    Notes
    -----
    Carrying run: the tail up to the first load point near it, a load zone from each load point to
    the end of its skirtboard, the head's neighbourhood, and the rest in three equal parts by
    distance from where the tail and its load zone end to the head. Return run: split at the
    take-up pulley and the bend pulleys next to it; without a take-up pulley the whole return run
    is `RETURN_BEFORE`.
    """
    return _merged(_carrying(loop) + _return(loop))


def zone_at(loop: Loop, position_m: float) -> Zone:
    return zone_in(stretches(loop), loop.wrap(position_m))


def zone_in(found: tuple[Stretch, ...], position_m: float) -> Zone:
    """As `zone_at`, for who asks about many places of one loop, from 0 m to its length."""
    for stretch in found:
        if stretch.start_m <= position_m < stretch.end_m:
            return stretch.zone
    return Zone.TAIL


def skirt_end_m(loop: Loop) -> float:
    """Where the belt is clear of the first load point's skirts; 0 without a load point. [m]"""
    loads = loop.of_kind(ComponentKind.LOAD_POINT)
    if not loads:
        return 0.0
    return min(loads[0].first_m + (loads[0].length_m or USUAL_SKIRT_M), loop.head_m)


def _carrying(loop: Loop) -> list[Stretch]:
    head_from = max(loop.head_m - PULLEY_NEIGHBOURHOOD_M, loop.head_m / 2)
    loads = [
        (load.first_m, min(load.first_m + (load.length_m or USUAL_SKIRT_M), head_from))
        for load in loop.of_kind(ComponentKind.LOAD_POINT)
        if load.first_m < head_from
    ]
    first_load_m = loads[0][0] if loads else min(PULLEY_NEIGHBOURHOOD_M, head_from / 2)
    tail_to = min(first_load_m, TAIL_REACH_M)
    is_loaded_at_tail = bool(loads) and first_load_m <= TAIL_REACH_M
    open_from = loads[0][1] if is_loaded_at_tail else tail_to
    third = (head_from - open_from) / 3
    marks = [
        (0.0, Zone.TAIL),
        (tail_to, Zone.LOAD),
        (open_from, Zone.CARRYING_LOWER),
        (open_from + third, Zone.CARRYING_MID),
        (open_from + 2 * third, Zone.CARRYING_UPPER),
        (head_from, Zone.HEAD),
    ]
    plain = [
        Stretch(zone, start, end)
        for (start, zone), (end, _) in zip(
            marks, [*marks[1:], (loop.head_m, Zone.HEAD)], strict=True
        )
        if end > start
    ]
    for start, end in loads[1:] if is_loaded_at_tail else loads:
        plain = _laid_over(plain, Stretch(Zone.LOAD, start, end))
    return plain


def _return(loop: Loop) -> list[Stretch]:
    head = loop.of_kind(ComponentKind.HEAD_PULLEY)[0]
    left_head = min(head.first_m + head.arc_m + PULLEY_NEIGHBOURHOOD_M, loop.tail_m)
    tail_from = max(loop.tail_m - PULLEY_NEIGHBOURHOOD_M, left_head)
    result = [Stretch(Zone.HEAD, loop.head_m, left_head)]
    take_ups = loop.of_kind(ComponentKind.TAKE_UP_PULLEY)
    if not take_ups:
        result.append(Stretch(Zone.RETURN_BEFORE, left_head, tail_from))
    else:
        take_up = take_ups[0]
        near = [p for p in loop.of_kind(ComponentKind.BEND_PULLEY) if p.first_m > left_head]
        before = [p for p in near if p.first_m < take_up.first_m]
        after = [p for p in near if p.first_m > take_up.first_m]
        bend_in = before[-1].first_m if before else take_up.first_m
        bend_out = after[0].first_m if after else take_up.first_m + take_up.arc_m
        bend_end = after[0].first_m + after[0].arc_m if after else bend_out
        result += [
            Stretch(Zone.RETURN_BEFORE, left_head, bend_in),
            Stretch(Zone.BEND, bend_in, take_up.first_m),
            Stretch(Zone.TAKE_UP, take_up.first_m, bend_out),
            Stretch(Zone.BEND, bend_out, bend_end),
            Stretch(Zone.RETURN_AFTER, bend_end, tail_from),
        ]
    result.append(Stretch(Zone.TAIL, tail_from, loop.length_m))
    return _clipped(result, tail_from, loop.length_m)


def _clipped(pieces: list[Stretch], tail_from: float, length_m: float) -> list[Stretch]:
    """Drop and shorten what crowded pulleys leave without room, keeping the cover complete."""
    kept: list[Stretch] = []
    at = pieces[0].start_m
    for piece in pieces:
        end = length_m if piece is pieces[-1] else min(max(piece.end_m, at), tail_from)
        if end > at:
            kept.append(Stretch(piece.zone, at, end))
            at = end
    return kept


def _laid_over(pieces: list[Stretch], top: Stretch) -> list[Stretch]:
    result: list[Stretch] = []
    for piece in pieces:
        if piece.start_m < top.start_m:
            result.append(Stretch(piece.zone, piece.start_m, min(piece.end_m, top.start_m)))
        if piece.end_m > top.end_m:
            result.append(Stretch(piece.zone, max(piece.start_m, top.end_m), piece.end_m))
    result.append(top)
    return sorted(
        (piece for piece in result if piece.end_m > piece.start_m),
        key=lambda piece: piece.start_m,
    )


def _merged(pieces: list[Stretch]) -> tuple[Stretch, ...]:
    """Neighbours of one zone become one stretch (the head's two sides)."""
    merged: list[Stretch] = []
    for piece in pieces:
        if merged and merged[-1].zone is piece.zone:
            merged[-1] = Stretch(piece.zone, merged[-1].start_m, piece.end_m)
        else:
            merged.append(piece)
    return tuple(merged)
