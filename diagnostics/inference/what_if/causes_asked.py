"""Which causes the mechanics can draw, and the refusals of those it cannot."""

from difflib import get_close_matches
from enum import StrEnum

from diagnostics.inference.cause_search import search_causes
from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.features import conveyor_words
from diagnostics.inference.places import family_names, is_placeless, is_possible
from diagnostics.inference.vocabulary import BELT_CLASSES, Pattern
from diagnostics.inference.what_if.choice import WhatIfRefusal, shown
from plant.loop.path import Loop

_NAMES_OFFERED = 3


class FaultKind(StrEnum):
    """How the mechanics takes a cause: the first word of its fault family, or what travels."""

    IDLERS = "idlers"
    STUCK = "stuck"
    BOW = "bow"
    LOADING = "loading"
    SKEW = "skew"
    TAPER = "taper"
    RUB = "rub"
    SPLICE = "splice"
    CAMBER = "camber"

    @property
    def travels(self) -> bool:
        return self in (FaultKind.SPLICE, FaultKind.CAMBER)


_ON_ONE_RUN = (FaultKind.IDLERS, FaultKind.STUCK, FaultKind.BOW)


def cause_asked(slug: str, knowledge: Knowledge) -> Cause:
    """The catalogue's entry; refuses one that is not there, with the nearest named."""
    cause = knowledge.causes.get(slug)
    if cause is None:
        raise WhatIfRefusal(
            "cause", f"the catalogue has no cause {shown(slug)}.{_near(slug, knowledge)}"
        )
    return cause


def is_drawn(cause: Cause) -> bool:
    """Whether the mechanics has a picture of a cause at all, on whatever conveyor."""
    return not (cause.pattern is Pattern.ERRATIC or is_placeless(cause))


def kinds_on(cause: Cause, conveyor: ConveyorFacts) -> tuple[str, ...]:
    """Fault families of a cause on this conveyor, as `places` names them.

    Raises
    ------
    WhatIfRefusal
        The cause has no mechanical picture, or stands at something this conveyor does not have.
    """
    if not is_drawn(cause):
        raise WhatIfRefusal("cause", _why_no_picture(cause))
    names = names_on(cause, conveyor)
    if not names:
        raise WhatIfRefusal(
            "cause", f"{cause.slug} is not possible here: {_missing(cause, conveyor)}."
        )
    return names


def names_on(cause: Cause, conveyor: ConveyorFacts) -> tuple[str, ...]:
    """As `kinds_on`, empty instead of a refusal."""
    if not (is_drawn(cause) and is_possible(cause, conveyor)):
        return ()
    if cause.cause_class in BELT_CLASSES:
        return (kind_of_travelling(cause).value,)
    return tuple(dict.fromkeys(_standing(family_names(cause, conveyor.loop), conveyor.loop)))


def kind_of_travelling(cause: Cause) -> FaultKind:
    """A long section is counted by its curvature, everything else as one turn of the belt."""
    return FaultKind.CAMBER if cause.size_unit == "1/m" else FaultKind.SPLICE


def _standing(names: list[str], loop: Loop) -> list[str]:
    """Families that have a place here: all but the pulleys' act through idlers."""
    runs = {part.run.value for part in loop.parts if part.is_idler}
    found = []
    for name in names:
        kind, _space, rest = name.partition(" ")
        has_rolls = rest in runs if kind in _ON_ONE_RUN else bool(runs)
        if has_rolls or kind in (FaultKind.SKEW, FaultKind.TAPER):
            found.append(name)
    return found


def _near(slug: str, knowledge: Knowledge) -> str:
    near = get_close_matches(slug, knowledge.causes, n=_NAMES_OFFERED, cutoff=0.6)
    if not near:
        found = search_causes(knowledge.causes.values(), slug.replace("_", " ")[:200])
        near = [one.slug for one in found[:_NAMES_OFFERED]]
    return f" Nearest: {', '.join(near)}." if near else ""


def _why_no_picture(cause: Cause) -> str:
    if cause.pattern is Pattern.ERRATIC:
        why = "it moves the belt now here, now there"
    else:
        why = "it acts along the whole belt and has no place"
    return f"{cause.slug} has no picture: {why}. The mechanics draws causes that have a place."


def _missing(cause: Cause, conveyor: ConveyorFacts) -> str:
    needs = sorted(cause.needs - conveyor_words(conveyor))
    if needs:
        return f"it needs a conveyor with {', '.join(needs)}"
    if not any(part.is_idler for part in conveyor.loop.parts):
        return "the register has no idler sets yet"
    kinds = [kind for kind in cause.stands_at if not conveyor.loop.of_kind(kind)]
    return "the register has no " + ", no ".join(sorted(one.replace("_", " ") for one in kinds))
