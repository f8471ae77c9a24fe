"""Whose knowledge a page shows: one plant's, named in the address by whoever has several."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest

from diagnostics import knowledge_files
from diagnostics.inference.causes import Knowledge
from diagnostics.knowledge_entries import Library
from diagnostics.selectors import shelf
from plant import access
from plant.models import Plant
from plant.roles import Permission


@dataclass(frozen=True)
class Whose:
    """`plant` is None for a person without plant or role: they read the installed files."""

    plant: Plant | None
    plants: list[Plant]

    @property
    def library(self) -> Library:
        if self.plant is None:
            return knowledge_files.library()
        return shelf.shown_library_of(self.plant.pk)

    @property
    def knowledge(self) -> Knowledge:
        return self.library.knowledge

    @property
    def query(self) -> str:
        """Behind the address of every further page of this plant's knowledge."""
        return f"?plant={self.plant.code}" if self.plant and len(self.plants) > 1 else ""


def whose(request: HttpRequest) -> Whose:
    """The plant asked for, else the person's first; one that is not theirs is not there."""
    # Cases, notes and reasons stand beside a plant's knowledge: only a role opens them.
    may_see = access.may(request.user, Permission.SEE)
    plants = list(access.plants_of(request.user)) if may_see else []
    code = request.GET.get("plant", "")
    if not code:
        return Whose(plants[0] if plants else None, plants)
    chosen = next((one for one in plants if one.code == code), None)
    if chosen is None:
        raise Http404
    return Whose(chosen, plants)


def plant_kept(request: HttpRequest) -> Plant:
    """As `whose`, for pages about what a plant keeps itself: without a plant there are none."""
    plant = whose(request).plant
    if plant is None:
        raise Http404
    return plant
