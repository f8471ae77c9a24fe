"""Raising work that no case asked for: somebody simply knows that it must be done."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.selectors import shelf
from plant.errors import DomainError
from plant.loop.parts import GeometryError
from plant.loop.path import Loop
from plant.loop.zones import zone_at
from plant.models import Conveyor, User
from plant.selectors.loops import loop_of
from workorders.models import OrderMove, WorkOrder
from workorders.order_draft import Draft, draft_by_hand
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.selectors import trouble
from workorders.services import numbering
from workorders.services.raising import add_steps, draft_fields
from workorders.urgency import Judged, Urgency, judge_urgency


class UnknownPlace(DomainError):
    """`field` is the one to mend: component or position_m."""

    code = "unknown_place"

    def __init__(self, text: str, field: str) -> None:
        self.field = field
        super().__init__(text)


class UrgencyNeedsReason(DomainError):
    code = "urgency_needs_reason"


@dataclass(frozen=True)
class WorkWanted:
    """What a person fills in; `work_method` names a template, `steps` are their own words.

    `component` is a station of the conveyor, `position_m` a loop position [m]; either, both, none.
    """

    title: str
    component: str = ""
    position_m: float | None = None
    work_method: str = ""
    steps: tuple[str, ...] = ()
    urgency: Urgency | None = None
    urgency_why: str = ""
    due_on: date | None = None
    earliest_on: date | None = None
    external_number: str = ""
    origin: Origin = Origin.HAND


@dataclass(frozen=True)
class _Place:
    component: str = ""
    position_m: float | None = None
    zone: str = ""


@transaction.atomic
def raise_by_hand(
    *, conveyor: Conveyor, wanted: WorkWanted, by: User | None, now: datetime
) -> WorkOrder:
    """Propose an order without a case; its cautions come with it all the same.

    Refuses with UnknownPlace and UrgencyNeedsReason.
    """
    place = _find(conveyor, wanted)
    judged = judge_urgency(trouble.trouble_of_conveyor(conveyor))
    draft = _draft(wanted, conveyor.plant_id)
    order = WorkOrder.objects.create(
        conveyor=conveyor,
        origin=wanted.origin.value,
        number=numbering.next_number(conveyor.plant_id),
        component=place.component,
        position_m=place.position_m,
        zone=place.zone,
        due_on=wanted.due_on,
        earliest_on=wanted.earliest_on,
        external_number=wanted.external_number,
        raised_at=now,
        raised_by=by,
        **_urgency_fields(wanted, judged),
        **draft_fields(draft),
    )
    add_steps(order, draft)
    OrderMove.objects.create(order=order, to_state=OrderState.PROPOSED.value, at=now, by=by)
    return order


@transaction.atomic
def raise_several(
    *, wanted: Iterable[tuple[Conveyor, WorkWanted]], by: User | None, now: datetime
) -> list[WorkOrder]:
    """Propose several orders, all or none, plant by plant; refuses as raise_by_hand does."""
    # Whoever numbers orders of two plants takes the rows of these in one order.
    by_plant = sorted(wanted, key=lambda one: one[0].plant_id)
    return [raise_by_hand(conveyor=at, wanted=one, by=by, now=now) for at, one in by_plant]


def _draft(wanted: WorkWanted, plant_id: int) -> Draft:
    library = shelf.library_of(plant_id)
    return draft_by_hand(
        wanted.title,
        method=library.work_methods.get(wanted.work_method),
        own_steps=wanted.steps,
        cautions=library.knowledge.cautions,
    )


def _urgency_fields(wanted: WorkWanted, judged: Judged) -> dict[str, object]:
    if wanted.urgency is None or wanted.urgency is judged.urgency:
        return {"urgency": judged.urgency.value, "urgency_reasons": list(judged.reasons)}
    if not wanted.urgency_why.strip():
        raise UrgencyNeedsReason(_("Say why it is that urgent."))
    return {
        "urgency": wanted.urgency.value,
        "urgency_reasons": list(judged.reasons),
        "urgency_why": wanted.urgency_why.strip(),
    }


def _find(conveyor: Conveyor, wanted: WorkWanted) -> _Place:
    if not wanted.component.strip() and wanted.position_m is None:
        return _Place()
    try:
        loop = loop_of(conveyor)
    except GeometryError:
        # The register of this conveyor is still being filled: take the place as it was said.
        return _Place(wanted.component.strip(), wanted.position_m)
    return _find_on(loop, wanted)


def _find_on(loop: Loop, wanted: WorkWanted) -> _Place:
    if wanted.position_m is not None and not 0 <= wanted.position_m < loop.length_m:
        raise UnknownPlace(
            _("The loop is %(length).1f m long; give a position from 0 m up to that.")
            % {"length": loop.length_m},
            "position_m",
        )
    if wanted.position_m is not None and not wanted.component.strip():
        return _Place("", wanted.position_m, zone_at(loop, wanted.position_m).value)
    station = loop.station_named(wanted.component)
    if station is None:
        raise UnknownPlace(_unknown_station(loop, wanted.component), "component")
    position_m = station.position_m if wanted.position_m is None else wanted.position_m
    return _Place(station.name, position_m, zone_at(loop, position_m).value)


def _unknown_station(loop: Loop, name: str) -> str:
    names = [station.name for station in loop.stations]
    near = get_close_matches(name.strip(), names, n=3, cutoff=0.4)
    said = _("No station of this conveyor is called %(name)s.") % {"name": name.strip()}
    if not near:
        return said
    return said + " " + _("Nearest: %(names)s.") % {"names": ", ".join(near)}
