"""On the page of a case: whether it counts for base rates and hit rates."""

from typing import Any

from django.http import HttpRequest

from diagnostics.models import Case
from diagnostics.selectors import base_rates
from plant import access
from plant.roles import Permission


def on_case(request: HttpRequest, case: Case) -> dict[str, Any] | None:
    aside = case.set_asides.filter(taken_in_at__isnull=True).select_related("set_by").first()
    if aside is None and not base_rates.is_named(case):
        return None
    return {
        "case": case,
        "plant": case.conveyor.plant,
        "aside": aside,
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
    }
