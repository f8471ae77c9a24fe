"""What a timed look says: does the wander come round with the belt, and with which part of it.

The door of `watching` for the engine; the whole of what a look says is in `watching.reading`.
"""

from collections.abc import Iterable
from dataclasses import replace

from diagnostics.inference.evidence import TimedLook
from diagnostics.inference.watching.travel import (
    ASKED_PASSES,
    LEAST_PASSES,
    POSITION_SPREAD_M,
    Travel,
)
from diagnostics.inference.watching.weighed import weigh_watch

__all__ = [
    "ASKED_PASSES",
    "LEAST_PASSES",
    "POSITION_SPREAD_M",
    "Travel",
    "contradiction",
    "read_timed_look",
    "together",
]

# All looks together say no more than this either way; natural logarithms.
_LEAST_LOG, _MOST_LOG = -6.0, 12.0
# A look that says 3 to 1 or more has an opinion.
_SAYS = 1.1


def read_timed_look(look: TimedLook, belt_length_m: float, speed_mps: float) -> Travel:
    """Fold one timed look at the belt's revolution time.

    Parameters
    ----------
    look : TimedLook
    belt_length_m, speed_mps : float
        Belt length, > 0 [m], and speed, not 0. [m/s]

    Returns
    -------
    Travel
    """
    return weigh_watch(look, belt_length_m, speed_mps).travel


def together(travels: tuple[Travel, ...]) -> Travel | None:
    """What all looks of a case say; None when there is none.

    Parameters
    ----------
    travels : tuple of Travel
        One a look; those too short to tell count only when there is no other.

    Returns
    -------
    Travel or None
        Turns and log likelihood ratios added up, within bounds; place and side of the look that
        says most of those that know a place, as long as the sum says that something travels.

    Notes
    -----
    Looks are taken as independent given the cause: they are made at other times, mostly by other
    eyes. The bounds keep many looks from outweighing everything else; engineering judgement.
    """
    telling = [one for one in travels if not one.is_too_short]
    if not telling:
        return max(travels, key=lambda one: one.passes, default=None)
    placed = [one for one in telling if one.belt_position_m is not None and one.log_ratio > 0]
    best = max(placed or telling, key=lambda one: (abs(one.log_ratio), one.passes))
    total = min(max(sum(one.log_ratio for one in telling), _LEAST_LOG), _MOST_LOG)
    return replace(
        best,
        passes=sum(one.passes for one in telling),
        log_ratio=total,
        belt_position_m=best.belt_position_m if total > 0 else None,
        side=best.side if total > 0 else None,
    )


def contradiction(looks: tuple[TimedLook, ...], travels: tuple[Travel, ...]) -> Iterable[str]:
    """Where one look saw something come round with the belt and another saw nothing."""
    came = [one.station for one, says in zip(looks, travels, strict=True) if says.log_ratio > _SAYS]
    none = [
        one.station for one, says in zip(looks, travels, strict=True) if says.log_ratio < -_SAYS
    ]
    if came and none:
        yield (
            f"Timed looks contradict each other: at {_listed(came)} something came round with the "
            f"belt, at {_listed(none)} nothing did. It may show only empty, only loaded or only on "
            "one run. All count; time one station again, loaded and empty."
        )


def _listed(stations: list[str]) -> str:
    return ", ".join(dict.fromkeys(stations))
