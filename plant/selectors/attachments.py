"""Pictures and drawings of a conveyor, as its pages show them."""

from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet

from plant.models import Attachment, Component, Conveyor

ROWS = 24
PICTURES_SHOWN = 6
DRAWINGS_SHOWN = 8


@dataclass(frozen=True)
class Wanted:
    component: Component | None = None
    kind: str = ""
    also_gone: bool = False


@dataclass(frozen=True)
class Shown:
    """The latest of each kind, and how many there are that are not shown."""

    pictures: list[Attachment]
    drawings: list[Attachment]
    has_more: bool


def attachments_of(conveyor: Conveyor) -> QuerySet[Attachment]:
    """The latest first, with what is told beside each."""
    rows = Attachment.objects.filter(conveyor=conveyor)
    return rows.select_related("component", "sent_by", "taken_back_by")


def page_of_attachments(conveyor: Conveyor, wanted: Wanted, page: str | None) -> Page[Attachment]:
    """Drawings first, so that they stay together on a page."""
    rows = attachments_of(conveyor)
    if wanted.component is not None:
        rows = rows.filter(component=wanted.component)
    if wanted.kind:
        rows = rows.filter(kind=wanted.kind)
    if not wanted.also_gone:
        rows = rows.filter(taken_back_at__isnull=True)
    return Paginator(rows.order_by("kind", "-sent_at", "-pk"), ROWS).get_page(page)


def shown_of(conveyor: Conveyor, component: Component | None = None) -> Shown:
    """For the conveyor all that stands; for a component its own. Two queries."""
    rows = attachments_of(conveyor).filter(taken_back_at__isnull=True)
    if component is not None:
        rows = rows.filter(component=component)
    # One more than is shown tells whether there are others.
    pictures = list(rows.filter(kind=Attachment.Kind.PICTURE)[: PICTURES_SHOWN + 1])
    drawings = list(rows.filter(kind=Attachment.Kind.DOCUMENT)[: DRAWINGS_SHOWN + 1])
    return Shown(
        pictures=pictures[:PICTURES_SHOWN],
        drawings=drawings[:DRAWINGS_SHOWN],
        has_more=len(pictures) > PICTURES_SHOWN or len(drawings) > DRAWINGS_SHOWN,
    )
