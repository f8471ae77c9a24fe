"""Which work method renews what, by its slug in the knowledge; empty where none is written."""

from plant.loop.vocabulary import ComponentKind
from workorders.life_subjects import Renewed

_ON_RETURN = frozenset({ComponentKind.RETURN_IDLERS, ComponentKind.VEE_RETURN_IDLERS})


def method_of(what: Renewed, kind: ComponentKind | None) -> str:
    if what is Renewed.ROLLS:
        return "replace-return-roll" if kind in _ON_RETURN else "replace-carrying-rolls"
    if what is Renewed.BLADE:
        return "set-plough" if kind is ComponentKind.PLOUGH else "set-cleaner"
    return {
        Renewed.LAGGING: "renew-lagging",
        Renewed.BEARING: "replace-pulley-bearing",
        Renewed.TAKE_UP: "remake-splice",
    }.get(what, "")
