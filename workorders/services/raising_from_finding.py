"""Raising work for what a close look found there, whether or not it is the cause of the case."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Finding, Hypothesis
from plant.errors import DomainError
from plant.loop.parts import GeometryError, Station
from plant.loop.zones import zone_at
from plant.models import Conveyor, User
from plant.selectors.loops import loop_of
from workorders.models import WorkOrder
from workorders.order_origins import Origin
from workorders.services import adopting
from workorders.services.raising import Aim, check_case_goes_on, propose


class NothingWasFound(DomainError):
    code = "nothing_was_found"


class FindingHasOpenOrder(DomainError):
    code = "finding_has_open_order"


class CauseHasOpenOrder(DomainError):
    code = "cause_has_open_order"


@transaction.atomic
def raise_from_finding(*, finding_id: int, by: User | None, now: datetime) -> WorkOrder:
    """Propose the one open order a finding may have, with the work method of what was found.

    It stands for the accepted cause where that is the same. Refuses with CaseHasEnded,
    NothingWasFound, FindingHasOpenOrder and CauseHasOpenOrder.
    """
    finding = _lock(finding_id)
    check_case_goes_on(finding.case)
    _check_found(finding)
    aim = _aim(finding)
    _check_no_other(aim)
    return propose(aim, by=by, now=now)


def _lock(finding_id: int) -> Finding:
    # The case first, as everywhere; of two people raising together one must lose.
    case_id = Finding.objects.values_list("case_id", flat=True).get(pk=finding_id)
    Case.objects.select_for_update(no_key=True).get(pk=case_id)
    return Finding.objects.select_related("case__conveyor__plant", "component").get(pk=finding_id)


def _check_found(finding: Finding) -> None:
    if not finding.is_present or finding.taken_back_at is not None:
        raise NothingWasFound(_("This look counts as having found nothing. Look again."))
    standing = WorkOrder.objects.open().filter(finding=finding).first()
    if standing is not None:
        raise FindingHasOpenOrder(
            _("Work for this finding is open already: %(number)s. Add your note there.")
            % {"number": standing.number}
        )


def _check_no_other(aim: Aim) -> None:
    """What was found may be what another order of the case mends already."""
    here = WorkOrder(component=aim.component, position_m=aim.position_m)
    within_m = aim.case.conveyor.plant.recurrence_distance_m
    for order in WorkOrder.objects.open().filter(case=aim.case, cause=aim.cause):
        place = Hypothesis(component=order.component, position_m=order.position_m)
        if adopting.is_near(here, place, within_m):
            raise CauseHasOpenOrder(
                _("%(number)s mends this there already. Add your note there.")
                % {"number": order.number}
            )


def _aim(finding: Finding) -> Aim:
    case = finding.case
    station = _station(case.conveyor, finding)
    known = _hypothesis_of(finding)
    position_m = station[0].position_m if station else None
    return Aim(
        case=case,
        origin=Origin.FINDING,
        cause=finding.cause,
        component=finding.place or (known.component if known else ""),
        zone=station[1] if station else (known.zone if known else ""),
        position_m=position_m if station else (known.position_m if known else None),
        detail=_detail(known),
        hypothesis=known if known is not None and known.accepted_at else None,
        finding=finding,
    )


def _hypothesis_of(finding: Finding) -> Hypothesis | None:
    """What the case says of this cause there: the accepted one, else the standing diagnosis's."""
    rows = finding.case.hypotheses.filter(cause=finding.cause, refuted_at__isnull=True)
    if finding.place:
        rows = rows.filter(component__iexact=finding.place)
    accepted = rows.filter(accepted_at__isnull=False).first()
    return accepted or rows.filter(diagnosis__superseded_at__isnull=True).order_by("rank").first()


def _detail(known: Hypothesis | None) -> Mapping[str, Any]:
    return known.detail if known else {}


def _station(conveyor: Conveyor, finding: Finding) -> tuple[Station, str] | None:
    """Where it was found, as far as the register knows that place."""
    try:
        loop = loop_of(conveyor)
    except GeometryError:
        return None
    name = finding.place or (finding.component.name if finding.component else "")
    station = loop.station_named(name) if name else None
    return (station, zone_at(loop, station.position_m).value) if station else None
