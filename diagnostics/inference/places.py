"""Where on this conveyor a cause of the catalogue can stand, and which templates speak for it."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.features import conveyor_words
from diagnostics.inference.profile import Fit
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, Pattern
from diagnostics.mechanics.nodes import Floats
from plant.loop.path import Loop
from plant.loop.vocabulary import IDLERS, PULLEYS, ComponentKind, Run

# What drags on the belt without steering it, and where it stands when the register has no part
# for it.
_RUBS = frozenset(
    {
        ComponentKind.BELT_CLEANER,
        ComponentKind.PLOUGH,
        ComponentKind.SKIRTBOARD,
        ComponentKind.TAKE_UP_FRAME,
    }
)


# Families whose places run into each other.
_GROUPS = frozenset({"idlers", "bow"})


@dataclass(frozen=True)
class Places:
    """Candidate places of one cause, from one or several families.

    Attributes
    ----------
    log_likelihood, log_share : array, shape (n,)
        Of what was seen, and the place's share of the cause's weight; shares sum to 1.
    amplitude : array, shape (n,)
    position_m, from_m, to_m : array, shape (n,)
    components : tuple of str
    columns : tuple of (int, int)
        Number of the family among the profile's fits, and of the candidate within it.
    is_group : bool
        Whether neighbouring places run into each other (idlers, bows) or each is a component.
    unit : str
        Of the amplitude; empty for a mixture, which cannot be added up into a size.
    """

    log_likelihood: Floats
    log_share: Floats
    amplitude: Floats
    position_m: Floats
    from_m: Floats
    to_m: Floats
    components: tuple[str, ...]
    columns: tuple[tuple[int, int], ...]
    is_group: bool
    unit: str


@dataclass(frozen=True)
class NumberedFit:
    """A fit with its number among all fits of the profile."""

    number: int
    fit: Fit


def is_possible(cause: Cause, conveyor: ConveyorFacts) -> bool:
    """Whether what the cause needs, and a component it stands at, are there."""
    if not cause.needs <= conveyor_words(conveyor):
        return False
    loop = conveyor.loop
    if cause.cause_class is CauseClass.TAKE_UP:
        return bool(loop.of_kind(ComponentKind.TAKE_UP_PULLEY))
    if cause.cause_class is CauseClass.LOADING or not cause.stands_at:
        return True
    if ComponentKind.STRUCTURE_SECTION in cause.stands_at:
        # A structure stands under every belt, whether or not the register cuts it into sections.
        return True
    return bool(loop.of_kind(*cause.stands_at))


def is_placeless(cause: Cause) -> bool:
    """Causes that act along the whole belt, or whose push changes from one look to the next."""
    return cause.pattern is Pattern.ERRATIC or (
        not cause.stands_at and cause.cause_class not in BELT_CLASSES
    )


def places_of(cause: Cause, loop: Loop, fits: Mapping[str, list[NumberedFit]]) -> Places | None:
    """The candidate places of a cause that stays in place; None when there is no place for it."""
    found = [
        picked
        for name in family_names(cause, loop)
        for one in fits.get(name, [])
        if (picked := _picked(one, _wanted(cause, name, loop, one.fit))) is not None
    ]
    return _joined(found) if found else None


def family_names(cause: Cause, loop: Loop) -> list[str]:
    """The fault families whose places a cause can take on this loop."""
    if cause.cause_class is CauseClass.LOADING:
        return ["loading"]
    runs = _runs(cause)
    if ComponentKind.STRUCTURE_SECTION in cause.stands_at:
        return [f"bow {run}" for run in runs]
    names: list[str] = []
    if ComponentKind.SELF_ALIGNING_IDLER in cause.stands_at:
        names += [f"stuck {run}" for run in runs]
    if cause.stands_at & (IDLERS - {ComponentKind.SELF_ALIGNING_IDLER}):
        names += [f"idlers {run}" for run in runs]
    drags = cause.cause_class is CauseClass.SURROUNDINGS
    for part in loop.of_kind(*cause.stands_at):
        if part.kind in PULLEYS and not drags:
            names.append(f"{'taper' if _is_taper(cause) else 'skew'} {part.name}")
        elif drags or part.kind in _RUBS:
            names.append(f"rub {part.name}")
    return names


def _runs(cause: Cause) -> tuple[Run, ...]:
    if cause.cause_class is CauseClass.CARRYING:
        on_both = cause.stands_at & {ComponentKind.RETURN_IDLERS, ComponentKind.VEE_RETURN_IDLERS}
        return (Run.CARRYING, Run.RETURN) if on_both else (Run.CARRYING,)
    if cause.cause_class is CauseClass.RETURN_IDLER:
        return (Run.RETURN,)
    return (Run.CARRYING, Run.RETURN)


def _is_taper(cause: Cause) -> bool:
    return cause.size_unit == "mm diameter"


def _wanted(cause: Cause, name: str, loop: Loop, fit: Fit) -> np.ndarray:
    """Which of a family's candidates stand at a component of the cause's kinds."""
    if not name.startswith("idlers "):
        return np.ones(len(fit.log_likelihood), dtype=bool)
    kinds = {
        station.name: station.kind
        for part in loop.of_kind(*cause.stands_at)
        for station in part.stations()
    }
    return np.array([component in kinds for component in fit.family.components], dtype=bool)


def _picked(one: NumberedFit, wanted: np.ndarray) -> Places | None:
    if not wanted.any():
        return None
    fit, family = one.fit, one.fit.family
    numbers = np.flatnonzero(wanted).tolist()
    return Places(
        # Plausible sizes favour some places of the family; among these they weigh 1 on average.
        log_likelihood=fit.log_likelihood[wanted]
        - (np.logaddexp.reduce(fit.log_weight[wanted]) - np.log(len(numbers))),
        log_share=np.full(len(numbers), np.log(family.weight / len(numbers))),
        amplitude=fit.amplitude[wanted],
        position_m=family.position_m[wanted],
        from_m=family.from_m[wanted],
        to_m=family.to_m[wanted],
        components=tuple(family.components[column] for column in numbers),
        columns=tuple((one.number, column) for column in numbers),
        is_group=family.name.split(" ")[0] in _GROUPS,
        unit=family.unit,
    )


def _joined(found: list[Places]) -> Places:
    # Families share the cause's weight by their own, whatever their number of places.
    whole = np.log(sum(float(np.exp(one.log_share).sum()) for one in found))
    return Places(
        log_likelihood=np.concatenate([one.log_likelihood for one in found]),
        log_share=np.concatenate([one.log_share for one in found]) - whole,
        amplitude=np.concatenate([one.amplitude for one in found]),
        position_m=np.concatenate([one.position_m for one in found]),
        from_m=np.concatenate([one.from_m for one in found]),
        to_m=np.concatenate([one.to_m for one in found]),
        components=tuple(name for one in found for name in one.components),
        columns=tuple(column for one in found for column in one.columns),
        is_group=found[0].is_group,
        unit=found[0].unit if len({one.unit for one in found}) == 1 else "",
    )
