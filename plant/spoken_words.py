"""What connected systems can have words for in the register and in what happens to any record."""

from functools import partial

from django.utils.translation import gettext_lazy as _

from plant import wording_shelf
from plant.api.register_records import BELT, COMPONENT, CONVEYOR
from plant.loop.vocabulary import Zone
from plant.models import ChangeKind
from plant.wording.shape import PLAIN, Shape
from plant.wording.wording import CHANGE_KIND
from plant.wording_shelf import Kind, Vocabulary
from plant.words import ZONE_WORDS

_CHANGES = {
    ChangeKind.ADDED.value: _("added"),
    ChangeKind.CHANGED.value: _("changed"),
    ChangeKind.MERGED.value: _("merged"),
    ChangeKind.REMOVED.value: _("removed"),
}
# A conveyor's own tag and a component's own name are what a wording has tags for.
_CONVEYOR = Shape(conveyors=("tag", "conveyor"), marks=frozenset({"tag", "plant", "version"}))
_COMPONENT = Shape(
    components=("name", "component"), marks=frozenset({"conveyor", "kind", "run", "version"})
)
_BELT = Shape(marks=frozenset({"conveyor", "carcass", "version"}))


def register() -> None:
    """Called when the app is ready."""
    zones = wording_shelf.words_of({zone: ZONE_WORDS[zone] for zone in Zone})
    changes = wording_shelf.words_of(_CHANGES)
    wording_shelf.register_vocabulary(
        Vocabulary("zone", 60, _("Zone of the belt"), lambda _plant: zones)
    )
    wording_shelf.register_vocabulary(
        Vocabulary(CHANGE_KIND, 90, _("What happened to a record"), lambda _plant: changes)
    )
    for place, name, title, shape, record in (
        (70, "conveyor", _("Conveyors"), _CONVEYOR, CONVEYOR),
        (71, "component", _("Components"), _COMPONENT, COMPONENT),
        (72, "belt", _("Belts"), _BELT, BELT),
    ):
        wording_shelf.register_kind(
            Kind(name, place, title, "register", shape, fields=partial(tuple, record))
        )
    # What is read off a conveyor has no words but its place.
    for resource in ("meters", "readings"):
        wording_shelf.register_kind(Kind(resource, 90, resource, resource, PLAIN))
