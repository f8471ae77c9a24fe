"""How often a belt mistracked lately, on its page."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from diagnostics.models import Case
from diagnostics.selectors import trends
from diagnostics.trend_forms import usual_period
from plant import access
from plant.models import Conveyor


def on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    today = conveyor.plant.day_of(timezone.now())
    period = usual_period(today)
    cases = access.visible(Case.objects.all(), request.user).filter(conveyor=conveyor)
    counts = trends.belts_of(cases, period)
    return {
        "conveyor": conveyor,
        "cases": counts[0].cases if counts else 0,
        "repeats": counts[0].repeats if counts else 0,
        "days": period.days,
    }
