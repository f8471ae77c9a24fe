"""What is asked for: a cause, a place, a size, a side and the load states, as they were typed."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.inference.vocabulary import LoadState
from plant.loop.vocabulary import Side

BOTH = "both"
LOADS = (BOTH, LoadState.LOADED.value, LoadState.EMPTY.value)
# Fields in the order in which a person fills them in.
FIELDS = ("cause", "at", "belt_at", "size", "sets", "side", "load")
_FIGURE = re.compile(r"[+-]?[0-9]{1,9}(?:[.,][0-9]{1,9})?(?:[eE][+-]?[0-9]{1,2})?")
_MOST_SETS = 200
_SHOWN = 60


class WhatIfRefusal(ValueError):
    """The question cannot be answered; `field` is the one of FIELDS to mend."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field = field


@dataclass(frozen=True)
class Choice:
    """What a person wants to see; texts and figures as typed, checked against no conveyor yet.

    Attributes
    ----------
    cause : str
        Slug of the catalogue.
    at : str
        Name of a component or metres along the loop; empty where one place alone is possible.
    belt_at_m : float or None
        For what travels: belt position, from the reference splice in the direction of travel. [m]
    size : float or None
        In the cause's unit, None for the usual size.
    sets : int or None
        Neighbouring idler sets that stand alike, None for the usual number.
    side : Side
        To which the belt is driven where the cause acts.
    loads : tuple of LoadState
    """

    cause: str
    at: str = ""
    belt_at_m: float | None = None
    size: float | None = None
    sets: int | None = None
    side: Side = Side.RIGHT
    loads: tuple[LoadState, ...] = (LoadState.LOADED, LoadState.EMPTY)


def read_choice(typed: Mapping[str, str]) -> Choice:
    """The choice in what was typed; a field that is empty or not there takes its usual value.

    Raises
    ------
    WhatIfRefusal
        A field is not of the accepted form.
    """
    said = {field: (typed.get(field) or "").strip() for field in FIELDS}
    if not said["cause"]:
        raise WhatIfRefusal("cause", "choose a cause of the catalogue.")
    return Choice(
        cause=said["cause"],
        at=said["at"],
        belt_at_m=_number("belt_at", said["belt_at"]) if said["belt_at"] else None,
        size=_size(said["size"]) if said["size"] else None,
        sets=_sets(said["sets"]) if said["sets"] else None,
        side=_side(said["side"]) if said["side"] else Side.RIGHT,
        loads=_loads(said["load"] or BOTH),
    )


def metres_or_none(text: str) -> float | None:
    """A figure in metres, with or without its unit; None for anything else, a name perhaps."""
    figure = text.strip().removesuffix("m").strip()
    if not _FIGURE.fullmatch(figure):
        return None
    value = float(figure.replace(",", "."))
    return value if math.isfinite(value) else None


def shown(text: str) -> str:
    """What was typed, on one line and not too long to read."""
    flat = text.encode("unicode_escape").decode("ascii") if not text.isprintable() else text
    return flat if len(flat) <= _SHOWN else flat[: _SHOWN - 3] + "..."


def _number(field: str, text: str) -> float:
    value = metres_or_none(text)
    if value is None:
        raise WhatIfRefusal(field, f"must be a number of metres, not {shown(text)}.")
    return value


def _size(text: str) -> float:
    if not _FIGURE.fullmatch(text):
        raise WhatIfRefusal("size", f"must be a number above 0, not {shown(text)}.")
    value = float(text.replace(",", "."))
    if not value > 0:
        raise WhatIfRefusal("size", f"must be above 0, not {shown(text)}; the side says which way.")
    return value


def _sets(text: str) -> int:
    is_whole = text.isascii() and text.isdigit() and len(text) <= len(str(_MOST_SETS))
    if not (is_whole and 1 <= int(text) <= _MOST_SETS):
        raise WhatIfRefusal(
            "sets", f"must be a whole number from 1 to {_MOST_SETS}, not {shown(text)}."
        )
    return int(text)


def _side(text: str) -> Side:
    try:
        return Side(text.casefold())
    except ValueError:
        words = " or ".join(Side)
        raise WhatIfRefusal("side", f"must be {words}, not {shown(text)}.") from None


def _loads(text: str) -> tuple[LoadState, ...]:
    if text == BOTH:
        return (LoadState.LOADED, LoadState.EMPTY)
    try:
        return (LoadState(text.casefold()),)
    except ValueError:
        words = ", ".join(LOADS)
        raise WhatIfRefusal("load", f"must be one of {words}, not {shown(text)}.") from None
