"""The first step of a mend: what to move, where, how far, which way; then three turns and a look.

All of it is done with the belt stopped and locked out; sizes come from the estimated fault and are
a first step only, for how hard a roll grips is known to a factor of two.
"""

from diagnostics.inference.answer import Correction
from diagnostics.inference.correction.comebacks import comebacks_of
from diagnostics.inference.correction.idlers import shift_idlers
from diagnostics.inference.correction.pulleys import square_pulley
from diagnostics.inference.correction.words import (
    NO_SHIFT,
    WAIT_REVOLUTIONS,
    look_for,
    where_of,
)
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import BOWED, Entry
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass
from plant.loop.vocabulary import Side

_SHIFTED_IDLERS = frozenset({"troughing idler", "return idler"})
# Sizes of bows and loads are rough; more than this is measured before it is believed.
# Engineering judgement. [mm]
_STEP_MM, MOST_BOW_MM = 5.0, 200.0
MOST_LOAD_SHARE_OF_WIDTH = 0.25
NOT_TRAINED = "No idler is shifted for it: what travels with the belt cannot be trained away."


def correction_for(
    entry: Entry, conveyor: ConveyorFacts, profile: Profile | None = None
) -> Correction | None:
    """What to do first about an entry.

    Parameters
    ----------
    entry : Entry
    conveyor : ConveyorFacts
    profile : Profile, optional
        The readings it was found by; with them the correction says by how much the belt should
        come back, and where.

    Returns
    -------
    Correction or None
        `move_mm` is None where the mend is no shift, or where the shift has to be measured first.
        None when the catalogue knows no mend.
    """
    cause, side = entry.cause, entry.side
    if cause.shift in _SHIFTED_IDLERS and side is not None and entry.position_m is not None:
        return shift_idlers(entry, conveyor, side, entry.position_m, profile)
    if cause.shift is not None and side is not None and entry.component is not None:
        return square_pulley(entry, conveyor, side, profile)
    if not cause.correct:
        return None
    if side is not None and entry.size is not None and entry.size_unit == "mm":
        if cause.slug == BOWED:
            return _straighten(entry, conveyor, side, entry.size, profile)
        if cause.cause_class is CauseClass.LOADING:
            return _centre_load(entry, conveyor, side, entry.size, profile)
    return _mend(entry, conveyor, f"{cause.correct}{_besides(entry, conveyor)}", profile)


def _straighten(
    entry: Entry, conveyor: ConveyorFacts, side: Side, size_mm: float, profile: Profile | None
) -> Correction:
    """The belt cuts the corner: the structure bows away from the side it is driven to."""
    moved, more = _believed(size_mm, MOST_BOW_MM)
    over = _stretch(entry, profile)
    says = (
        f" It probably bows to the {conveyor.side_in_words(side.opposite)} by about {moved:.0f} mm"
        f"{more}{over}: bring its middle back to the {conveyor.side_in_words(side)}, less and less "
        "toward both ends, as a string shows."
    )
    return Correction(
        what=entry.cause.correct + says,
        where=where_of(entry, conveyor),
        move_mm=moved,
        direction=f"structure toward the {side}",
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=look_for(entry, conveyor, comebacks_of(entry, conveyor, profile)),
    )


def _stretch(entry: Entry, profile: Profile | None) -> str:
    if profile is None or entry.column is None:
        return ""
    from_m, to_m = profile.stretch_of(entry.column)
    return f" over about {to_m - from_m:.0f} m, from {from_m:.0f} m to {to_m:.0f} m"


def _centre_load(
    entry: Entry, conveyor: ConveyorFacts, side: Side, size_mm: float, profile: Profile | None
) -> Correction:
    """The belt goes to the lightly loaded side: the material has to follow it."""
    moved, more = _believed(size_mm, MOST_LOAD_SHARE_OF_WIDTH * conveyor.belt.width_mm)
    says = (
        f" The material probably lands about {moved:.0f} mm{more} too far to the "
        f"{conveyor.side_in_words(side.opposite)}."
    )
    return Correction(
        what=entry.cause.correct + says,
        where=where_of(entry, conveyor),
        move_mm=moved,
        direction=f"material toward the {side}",
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=look_for(entry, conveyor, comebacks_of(entry, conveyor, profile)),
    )


def _mend(entry: Entry, conveyor: ConveyorFacts, what: str, profile: Profile | None) -> Correction:
    return Correction(
        what=what,
        where=where_of(entry, conveyor),
        move_mm=None,
        direction=NO_SHIFT,
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=look_for(entry, conveyor, comebacks_of(entry, conveyor, profile)),
    )


def _besides(entry: Entry, conveyor: ConveyorFacts) -> str:
    """What the readings add to the catalogue's sentence."""
    cause, side = entry.cause, entry.side
    if cause.cause_class in BELT_CLASSES:
        return "" if "idler" in cause.correct else f" {NOT_TRAINED}"
    if cause.size_unit != "mm diameter" or side is None:
        return ""
    larger, smaller = (conveyor.side_in_words(one) for one in (side, side.opposite))
    by = f", by about {entry.size:.0f} mm in diameter" if entry.size and entry.size >= 1 else ""
    return (
        f" The {larger} end probably is the larger one{by}: built up there, or worn at the "
        f"{smaller} end. Measure round both ends."
    )


def _believed(size_mm: float, most_mm: float) -> tuple[float, str]:
    """Rounded, and "or more" where it is cut off."""
    rounded = _STEP_MM * max(round(min(size_mm, most_mm) / _STEP_MM), 1)
    return rounded, " or more" if size_mm > most_mm else ""
