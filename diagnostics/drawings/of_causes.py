"""Which drawing belongs to which cause.

Each is drawn for one side; the mirror image holds as well. Signs: edge touched first, low side,
thick end, lightly loaded edge, inside of a bow (see the sources in fixtures/causes.yaml).
"""

from collections.abc import Callable

from diagnostics.drawings import belting, idlers, loading, pulleys, structure, surroundings, take_up
from diagnostics.drawings.sheet import Drawing
from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass

_DRAWN: dict[str, Callable[[], Drawing]] = {
    **idlers.DRAWN,
    **structure.DRAWN,
    **loading.DRAWN,
    **pulleys.DRAWN,
    **take_up.DRAWN,
    **belting.DRAWN,
    **surroundings.DRAWN,
}
# A cause that a plant has added is shown by the commonest fault of its class.
_OF_CLASS = {
    CauseClass.CARRYING: "carrying_idlers_skewed",
    CauseClass.LOADING: "off_centre_loading",
    CauseClass.TAIL_PULLEY: "tail_pulley_skewed",
    CauseClass.HEAD_PULLEY: "head_pulley_skewed",
    CauseClass.BEND_PULLEY: "bend_pulley_skewed",
    CauseClass.TAKE_UP: "take_up_carriage_skewed",
    CauseClass.RETURN_IDLER: "return_idler_skewed",
    CauseClass.BELT_SPLICE: "crooked_splice",
    CauseClass.BELT_SECTION: "one_sided_belt_damage",
    CauseClass.SURROUNDINGS: "wet_rolls",
}


def has_own_drawing(cause: Cause) -> bool:
    return cause.slug in _DRAWN


def drawing_of(cause: Cause) -> Drawing:
    """The cause's own drawing; of one that was added later, that of its class."""
    return _DRAWN.get(cause.slug, _DRAWN[_OF_CLASS[cause.cause_class]])()
