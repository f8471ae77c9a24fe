"""For whoever connects another system: the feed in one screen, and the reference of the API."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plant.access import needs
from plant.api import feed_asking
from plant.api.deprecation import LEAST_NOTICE_DAYS, V1_OUTLIVES_V2_MONTHS
from plant.roles import Permission
from plant.services.pacing import WINDOW_S


@require_safe
@needs(Permission.SEE)
def integrators(request: HttpRequest) -> HttpResponse:
    context = {
        "site": settings.SITE_ADDRESS or request.build_absolute_uri("/").rstrip("/"),
        "kept_days": settings.FEED_KEPT_DAYS,
        "limit": settings.API_REQUESTS_PER_MINUTE,
        "window_s": WINDOW_S,
        "most": feed_asking.MOST,
        "longest_wait_s": feed_asking.LONGEST_WAIT_S,
        "v1_months": V1_OUTLIVES_V2_MONTHS,
        "notice_days": LEAST_NOTICE_DAYS,
    }
    return render(request, "plant/integrators/page.html", context)


@require_safe
@needs(Permission.SEE)
def reference(request: HttpRequest) -> HttpResponse:
    return render(request, "plant/integrators/reference.html")
