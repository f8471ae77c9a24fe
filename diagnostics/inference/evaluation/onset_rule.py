"""The walker's rule without the mechanics, as a measure of what the mechanics add.

The trade says: find the first place where the belt runs off centre and look there. So a class is
ranked by whether something of it stands where the onset (`onset.find_onset`) is:

1. single places (pulleys, load points) that stand within 15 m behind the onset, the nearest first,
   for a belt shows a fault some idlers past it;
2. the idlers and structure of the run on which the onset lies, for they are everywhere;
3. all other single places, the nearest first, either way round the loop;
4. splices and belt sections, then the idlers of the other run.

"With reach" also counts in step 1 what stands up to 8 m ahead of the onset, for a pulley is seen
that far before the belt meets it. Without an onset the belt comes first: off everywhere, or
nowhere for long. Nothing here knows tension, grip, load state or remarks.

In an earlier trial by other code such a rule named the class first in 0.24 of simulated belts (0.31
with reach) and among three in 0.65 (0.71); on the 54 open cases in 0.33 (0.39) and 0.63 (0.69).
"""

from diagnostics.inference.answer import Onset
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.onset_place import PAST_HEAD_M, REACH_M
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run

_BEHIND_M = PAST_HEAD_M
_STANDS_AT: dict[CauseClass, tuple[ComponentKind, ...]] = {
    CauseClass.TAIL_PULLEY: (ComponentKind.TAIL_PULLEY,),
    CauseClass.LOADING: (ComponentKind.LOAD_POINT,),
    CauseClass.HEAD_PULLEY: (ComponentKind.HEAD_PULLEY,),
    CauseClass.BEND_PULLEY: (ComponentKind.BEND_PULLEY, ComponentKind.SNUB_PULLEY),
    CauseClass.TAKE_UP: (ComponentKind.TAKE_UP_PULLEY,),
}
_ROWS = {Run.CARRYING: CauseClass.CARRYING, Run.RETURN: CauseClass.RETURN_IDLER}
_BELT = (CauseClass.BELT_SPLICE, CauseClass.BELT_SECTION)


def ranked_by_onset(
    conveyor: ConveyorFacts, onset: Onset | None, *, with_reach: bool
) -> tuple[CauseClass, ...]:
    """Classes in the order in which the rule of the first place off centre suspects them.

    Parameters
    ----------
    conveyor : ConveyorFacts
    onset : Onset or None
        First place off centre, None where there is none.
    with_reach : bool
        Whether what stands up to 8 m ahead of the onset counts too.

    Returns
    -------
    tuple of CauseClass
        Every class that has a place on this conveyor, and the belt's, each once.
    """
    places = _single_places(conveyor.loop)
    if onset is None:
        return (*_BELT, *_ROWS.values(), *places)
    at_m, loop = onset.position_m, conveyor.loop
    ahead_m = REACH_M if with_reach else 0.0
    apart = {name: min(loop.apart_m(one, at_m) for one in found) for name, found in places.items()}
    near = [
        name
        for name, found in places.items()
        if any(
            loop.ahead_m(one, at_m) <= _BEHIND_M or 0 < loop.ahead_m(at_m, one) <= ahead_m
            for one in found
        )
    ]
    far = [name for name in places if name not in near]
    own = loop.run_at(at_m)
    other = Run.RETURN if own is Run.CARRYING else Run.CARRYING
    return (
        *sorted(near, key=apart.__getitem__),
        _ROWS[own],
        *sorted(far, key=apart.__getitem__),
        *_BELT,
        _ROWS[other],
    )


def _single_places(loop: Loop) -> dict[CauseClass, list[float]]:
    found = {
        name: [part.first_m for part in loop.of_kind(*kinds)] for name, kinds in _STANDS_AT.items()
    }
    return {name: places for name, places in found.items() if places}
