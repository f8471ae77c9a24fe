"""Zones of the loop in which a cause can stand, from the kinds of component it sits at."""

from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import ComponentKind, Zone

_CARRYING = frozenset({Zone.CARRYING_LOWER, Zone.CARRYING_MID, Zone.CARRYING_UPPER})
_RETURN = frozenset({Zone.RETURN_BEFORE, Zone.RETURN_AFTER})
_ZONES: dict[ComponentKind, frozenset[Zone]] = {
    ComponentKind.TAIL_PULLEY: frozenset({Zone.TAIL}),
    ComponentKind.HEAD_PULLEY: frozenset({Zone.HEAD}),
    ComponentKind.DRIVE_PULLEY: frozenset({Zone.HEAD}) | _RETURN,
    ComponentKind.SNUB_PULLEY: frozenset({Zone.HEAD, Zone.TAIL}),
    ComponentKind.BEND_PULLEY: frozenset({Zone.BEND}) | _RETURN,
    ComponentKind.TAKE_UP_PULLEY: frozenset({Zone.TAKE_UP}),
    ComponentKind.IMPACT_IDLERS: frozenset({Zone.LOAD}),
    ComponentKind.TRANSITION_IDLERS: frozenset({Zone.TAIL, Zone.HEAD}),
    ComponentKind.TROUGHING_IDLERS: _CARRYING,
    ComponentKind.RETURN_IDLERS: _RETURN,
    ComponentKind.VEE_RETURN_IDLERS: _RETURN,
    ComponentKind.SELF_ALIGNING_IDLER: _CARRYING | _RETURN,
    ComponentKind.LOAD_POINT: frozenset({Zone.LOAD}),
    ComponentKind.SKIRTBOARD: frozenset({Zone.LOAD}),
    ComponentKind.BELT_CLEANER: frozenset({Zone.HEAD}),
    ComponentKind.PLOUGH: frozenset({Zone.TAIL, Zone.RETURN_AFTER}),
    ComponentKind.STRUCTURE_SECTION: _CARRYING | _RETURN,
    ComponentKind.TAKE_UP_FRAME: frozenset({Zone.TAKE_UP}),
}


def zones_of(cause: Cause) -> tuple[Zone, ...]:
    """Where to go and look for a cause, in the order of belt travel.

    Returns
    -------
    tuple of Zone
        All zones for what is nowhere in particular: the belt, wind, tension.

    Notes
    -----
    A structure section or a self-aligning idler stands on either run; the cause's class says which.
    """
    if not cause.stands_at:
        return tuple(Zone)
    found = frozenset().union(*(_ZONES[kind] for kind in cause.stands_at))
    if cause.cause_class is CauseClass.CARRYING:
        found -= _RETURN
    elif cause.cause_class is CauseClass.RETURN_IDLER:
        found -= _CARRYING
    return tuple(zone for zone in Zone if zone in found)
