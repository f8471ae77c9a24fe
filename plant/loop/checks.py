"""What parts of one loop refuse of each other: places, names, idler groups, pulley wraps."""

from collections.abc import Iterable
from itertools import pairwise

from plant.loop.parts import GeometryError, IncompleteLoopError, Part, check_part
from plant.loop.vocabulary import ComponentKind, Run

# Positions are kept to the millimetre, arcs are not.
_SLACK_M = 0.001


def check_parts(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Refuse what cannot stand together, also while head or tail are still missing.

    Returns
    -------
    tuple of Part
        In the order in which the belt meets them.

    Raises
    ------
    GeometryError
        Names the part and the field to mend.
    """
    ordered = tuple(sorted(parts, key=lambda part: (part.first_m, part.name)))
    for part in ordered:
        check_part(part)
    head = _at_most_one(ordered, ComponentKind.HEAD_PULLEY, "head pulley")
    tail = _at_most_one(ordered, ComponentKind.TAIL_PULLEY, "tail pulley")
    if head and tail and head.first_m >= tail.first_m:
        raise GeometryError(
            f"{head.name} at {head.first_m:g} m must come before {tail.name} at "
            f"{tail.first_m:g} m: the belt meets the head pulley first.",
            head.name,
            "first_m",
        )
    if head and head.first_m <= 0:
        raise GeometryError(
            f"{head.name} must stand past 0 m, where the belt leaves the tail pulley.",
            head.name,
            "first_m",
        )
    for part in ordered:
        _check_place(part, head, tail)
    _check_names(ordered)
    _check_overlaps(ordered)
    _check_pulley_wraps(ordered)
    return ordered


def the_ends(parts: tuple[Part, ...]) -> tuple[Part, Part]:
    """The head and the tail pulley of checked parts.

    Raises
    ------
    IncompleteLoopError
        One of them is missing.
    """
    head = _at_most_one(parts, ComponentKind.HEAD_PULLEY, "head pulley")
    tail = _at_most_one(parts, ComponentKind.TAIL_PULLEY, "tail pulley")
    if head is None and tail is None:
        raise IncompleteLoopError("The head pulley and the tail pulley are missing.")
    if head is None:
        raise IncompleteLoopError("The head pulley is missing.")
    if tail is None:
        raise IncompleteLoopError("The tail pulley is missing.")
    return head, tail


def _at_most_one(parts: tuple[Part, ...], kind: ComponentKind, word: str) -> Part | None:
    found = [part for part in parts if part.kind is kind]
    if len(found) > 1:
        raise GeometryError(
            f"A conveyor has one {word}; there are {len(found)}.", found[1].name, "kind"
        )
    return found[0] if found else None


def _check_place(part: Part, head: Part | None, tail: Part | None) -> None:
    if part is head or part is tail:
        return
    if tail is not None and part.last_m > tail.first_m:
        raise GeometryError(
            f"{part.name} reaches to {part.last_m:g} m, past the tail pulley at "
            f"{tail.first_m:g} m where the loop ends.",
            part.name,
            _reach_field(part),
        )
    if head is None:
        return
    if part.run is Run.CARRYING and part.last_m > head.first_m:
        raise GeometryError(
            f"{part.name} is on the carrying run but reaches to {part.last_m:g} m, past the "
            f"head pulley at {head.first_m:g} m.",
            part.name,
            _reach_field(part),
        )
    if part.run is Run.RETURN and part.first_m < head.first_m:
        raise GeometryError(
            f"{part.name} is on the return run but stands at {part.first_m:g} m, before the "
            f"head pulley at {head.first_m:g} m.",
            part.name,
            "first_m",
        )


def _reach_field(part: Part) -> str:
    return "count" if part.count > 1 else "first_m"


def _check_names(parts: tuple[Part, ...]) -> None:
    seen: dict[str, str] = {}
    for part in parts:
        for station in part.stations():
            name = station.name.strip().casefold()
            if name in seen:
                raise GeometryError(
                    f"The name {station.name} is used twice, by {seen[name]} and {part.name}.",
                    part.name,
                    "name",
                )
            seen[name] = part.name


def _check_overlaps(parts: tuple[Part, ...]) -> None:
    idlers = [part for part in parts if part.is_idler]
    for one, other in pairwise(idlers):
        if other.first_m <= one.last_m:
            raise GeometryError(
                f"{other.name} begins at {other.first_m:g} m inside {one.name}, which reaches "
                f"to {one.last_m:g} m. Idler groups may not overlap.",
                other.name,
                "first_m",
            )


def _check_pulley_wraps(parts: tuple[Part, ...]) -> None:
    pulleys = [part for part in parts if part.is_pulley]
    for one, other in pairwise(pulleys):
        if other.first_m < one.first_m + one.arc_m - _SLACK_M:
            raise GeometryError(
                f"{other.name} at {other.first_m:g} m stands where the belt is still on "
                f"{one.name}, which it leaves at {one.first_m + one.arc_m:.3f} m. Pulleys are "
                "out of order or too close.",
                other.name,
                "first_m",
            )
