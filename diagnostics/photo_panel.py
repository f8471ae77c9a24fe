"""The photos on the page of a case: the latest, and the way to all of them."""

from typing import Any

from django.http import HttpRequest

from diagnostics.models import Case
from diagnostics.selectors.photos import photos_of

SHOWN = 8


def on_case(_request: HttpRequest, case: Case) -> dict[str, Any]:
    # One more than is shown tells whether there are others.
    rows = list(photos_of(case)[: SHOWN + 1])
    return {
        "case": case,
        "plant": case.conveyor.plant,
        "photos": rows[:SHOWN],
        "has_more": len(rows) > SHOWN,
    }
