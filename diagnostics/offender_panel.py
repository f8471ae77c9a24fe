"""On the Today page of the lead: the worst belts of each plant, and what to do about them."""

from functools import partial
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from diagnostics import offender_pages, offender_rows
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.selectors import offenders, shelf
from plant import access
from plant.roles import Role

_BELTS = 3
# A lead of many plants sees the others on the page itself.
_PLANTS = 3


def worst_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """From the usual reckonings; None while nothing has been reckoned or nobody asks."""
    if Role.LEAD not in access.roles_of(request.user):
        return None
    plants = list(access.plants_of(request.user))
    reckonings = offenders.usual_reckonings(plants)[:_PLANTS]
    worst = offenders.worst_of_each(reckonings, _BELTS)
    groups = [
        _group(request, one, [belt for belt in worst if belt.reckoning_id == one.pk])
        for one in reckonings
    ]
    groups = [group for group in groups if group["rows"]]
    return {"groups": groups, "several": len(plants) > 1} if groups else None


def _group(
    request: HttpRequest, reckoning: FaultReckoning, belts: list[BeltFaults]
) -> dict[str, Any]:
    plant = reckoning.plant
    rows = offender_rows.rows_of(
        belts, reckoning, shelf.shown_library_of(plant.pk), partial(access.may, request.user)
    )
    when = offender_pages.when_words(reckoning.reckoned_at, plant, timezone.now())
    return {"plant": plant, "rows": rows, "when": when}
