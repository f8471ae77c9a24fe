"""Loop positions from a course: straight stretches of belt, each ended by a pulley; pure.

A course is how a person walks a drawing: so far straight on, what stands there, then a pulley and
which way it turns the belt. Angles are those of `plant.loop`: 0 carrying travel, 90 up.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from plant.loop.parts import Part
from plant.loop.vocabulary import IDLERS, ComponentKind, Run


@dataclass(frozen=True)
class _At:
    """Where the belt has come to: loop position and height of the drawing [m], heading [deg]."""

    loop_m: float = 0.0
    along_m: float = 0.0
    heading_deg: float = 0.0
    run: Run = Run.CARRYING


def lay_course(stretches: Sequence[Mapping[str, Any]]) -> tuple[Part, ...]:
    """Turn a course into the parts of a loop.

    Parameters
    ----------
    stretches : sequence of mappings
        Each with `pulley` (name, kind, diameter_mm, turn_deg), `straight_m` before it [m] and
        `stands`, the components on that stretch. The last stretch may leave `straight_m` out: it is
        as long as the belt needs to come out below the start of the loop.

    Returns
    -------
    tuple of Part

    Raises
    ------
    ValueError
        The last stretch does not lead back to the tail.
    """
    parts: list[Part] = []
    at = _At()
    for stretch in stretches:
        straight_m = stretch.get("straight_m") or _closing_m(at)
        parts += _stands(stretch.get("stands", ()), at, straight_m)
        pulley = _pulley(stretch["pulley"], at, straight_m)
        parts.append(pulley)
        at = _after(at, straight_m, pulley, stretch["pulley"]["turn_deg"])
    return tuple(parts)


def _closing_m(at: _At) -> float:
    toward_tail = -math.cos(math.radians(at.heading_deg))
    if toward_tail < 0.5 or at.along_m <= 0:
        raise ValueError(f"The last stretch does not lead back to the tail: {at}.")
    return at.along_m / toward_tail


def _pulley(said: Mapping[str, Any], at: _At, straight_m: float) -> Part:
    in_deg = at.heading_deg % 360
    return Part(
        name=said["name"],
        kind=ComponentKind(said["kind"]),
        run=at.run,
        first_m=round(at.loop_m + straight_m, 3),
        diameter_mm=float(said["diameter_mm"]),
        wrap_deg=float(abs(said["turn_deg"])),
        in_deg=in_deg,
        out_deg=in_deg + said["turn_deg"],
    )


def _after(at: _At, straight_m: float, pulley: Part, turn_deg: float) -> _At:
    """Behind the pulley: the way along its arc adds to the loop, its chord to the drawing."""
    heading, turn = math.radians(at.heading_deg), math.radians(turn_deg)
    radius_m = math.copysign((pulley.diameter_mm or 0.0) / 2000, turn_deg)
    chord_m = radius_m * (math.sin(heading + turn) - math.sin(heading))
    return _At(
        loop_m=pulley.first_m + pulley.arc_m,
        along_m=at.along_m + straight_m * math.cos(heading) + chord_m,
        heading_deg=at.heading_deg + turn_deg,
        run=Run.RETURN if pulley.kind is ComponentKind.HEAD_PULLEY else at.run,
    )


def _stands(stands: Iterable[Mapping[str, Any]], at: _At, straight_m: float) -> list[Part]:
    parts: list[Part] = []
    last_m = 0.0
    for said in stands:
        first_m = said["at_m"] if "at_m" in said else last_m + said["gap_m"]
        kind = ComponentKind(said["kind"])
        if kind not in IDLERS:
            parts.append(_part(said, kind, at, first_m, length_m=said.get("length_m")))
            continue
        groups = list(_groups(said, kind, at, first_m, straight_m))
        parts += groups
        last_m = groups[-1].last_m - at.loop_m
    return parts


def _part(
    said: Mapping[str, Any], kind: ComponentKind, at: _At, first_m: float, **more: Any
) -> Part:
    # To the millimetre, as the register keeps positions.
    place_m = round(at.loop_m + first_m, 3)
    return Part(name=more.pop("name", said["name"]), kind=kind, run=at.run, first_m=place_m, **more)


def _groups(
    said: Mapping[str, Any], kind: ComponentKind, at: _At, first_m: float, straight_m: float
) -> Iterable[Part]:
    """One numbered group, or blocks of it with a self-aligning set between every two."""
    spacing_m = said["spacing_m"]
    if kind is ComponentKind.SELF_ALIGNING_IDLER:
        yield _part(said, kind, at, first_m, spacing_m=spacing_m)
        return
    room_m = straight_m - said.get("short_m", spacing_m) - first_m
    left = said.get("count") or int(room_m / spacing_m + 1e-9) + 1
    block = said.get("self_aligning_every")
    if not block:
        yield _part(said, kind, at, first_m, spacing_m=spacing_m, count=left, is_numbered=True)
        return
    number = 0
    while left > 0:
        number += 1
        # The last block takes what would be a stump of a few sets behind a self-aligning one.
        size = left if left <= block * 1.4 else block
        yield _part(
            said,
            kind,
            at,
            first_m,
            name=f"{said['name']}{number}-",
            spacing_m=spacing_m,
            count=size,
            is_numbered=True,
        )
        first_m += size * spacing_m
        left -= size
        if left > 0:
            name = f"SA-{said['name']}{number}"
            sa = ComponentKind.SELF_ALIGNING_IDLER
            yield _part(said, sa, at, first_m, name=name, spacing_m=spacing_m)
            first_m += spacing_m
            left -= 1
