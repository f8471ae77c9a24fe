"""What lives are told of, what can be renewed, what is due: words and where each belongs."""

from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.loop.condition import Quantity
from plant.loop.vocabulary import IDLERS, ComponentKind
from plant.words import KIND_WORDS


class Renewed(StrEnum):
    """What a reading tells of; made new, its wear starts anew."""

    LAGGING = "lagging"
    ROLLS = "rolls"
    BEARING = "bearing"
    BLADE = "blade"
    COVERS = "covers"
    TAKE_UP = "take_up"


RENEWED_WORDS: dict[Renewed, str | Promise] = {
    Renewed.LAGGING: _("lagging"),
    Renewed.ROLLS: _("rolls"),
    Renewed.BEARING: _("bearings"),
    Renewed.BLADE: _("blades"),
    Renewed.COVERS: _("belt covers"),
    Renewed.TAKE_UP: _("take-up travel"),
}
_OF_QUANTITY = {
    Quantity.LAGGING_THICKNESS: Renewed.LAGGING,
    Quantity.ROLL_SHELL_THICKNESS: Renewed.ROLLS,
    Quantity.BEARING_TEMPERATURE: Renewed.BEARING,
    Quantity.NOISE_GRADE: Renewed.BEARING,
    Quantity.BLADE_THICKNESS: Renewed.BLADE,
    Quantity.TAKE_UP_TRAVEL_USED: Renewed.TAKE_UP,
    Quantity.CARRY_COVER_THICKNESS: Renewed.COVERS,
    Quantity.PULLEY_COVER_THICKNESS: Renewed.COVERS,
}


def renewed_of(quantity: Quantity, kind: ComponentKind | None) -> Renewed:
    """What must be made new when the quantity meets its limit; a roll comes with its bearings."""
    if kind in IDLERS:
        return Renewed.ROLLS
    return _OF_QUANTITY[quantity]


class LifeSubject(StrEnum):
    """A kind of thing whose lives are put together; rolls by the kind of their idlers."""

    TROUGHING = ComponentKind.TROUGHING_IDLERS.value
    IMPACT = ComponentKind.IMPACT_IDLERS.value
    TRANSITION = ComponentKind.TRANSITION_IDLERS.value
    SELF_ALIGNING = ComponentKind.SELF_ALIGNING_IDLER.value
    RETURN = ComponentKind.RETURN_IDLERS.value
    VEE_RETURN = ComponentKind.VEE_RETURN_IDLERS.value
    LAGGING = "lagging"
    BEARING = "bearing"
    BLADE = "blade"
    BELT = "belt"

    @property
    def is_of_rolls(self) -> bool:
        return self not in _OTHERS

    @property
    def renewed(self) -> Renewed | None:
        """What ends such a life by its renewals; None for rolls and belts, kept elsewhere."""
        return _OTHERS.get(self)


_OTHERS: dict[LifeSubject, Renewed | None] = {
    LifeSubject.LAGGING: Renewed.LAGGING,
    LifeSubject.BEARING: Renewed.BEARING,
    LifeSubject.BLADE: Renewed.BLADE,
    LifeSubject.BELT: None,
}


def subject_words(subject: LifeSubject) -> str:
    """`rolls of troughing idlers`, `lagging`."""
    if subject.is_of_rolls:
        return str(_("rolls of %(kind)s")) % {"kind": KIND_WORDS[ComponentKind(subject.value)]}
    return str(_WORDS[subject])


_WORDS: dict[LifeSubject, str | Promise] = {
    LifeSubject.LAGGING: _("pulley lagging"),
    LifeSubject.BEARING: _("pulley bearings"),
    LifeSubject.BLADE: _("cleaner blades"),
    LifeSubject.BELT: _("belts"),
}
SUBJECT_CHOICES = [(one.value, one.value) for one in LifeSubject]
