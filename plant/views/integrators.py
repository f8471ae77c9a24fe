"""For whoever connects another system: the feed in one screen, and the reference of the API."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plant import api_promises
from plant.access import needs
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
        "most": api_promises.MOST_CHANGES,
        "longest_wait_s": api_promises.LONGEST_WAIT_S,
        "v1_months": api_promises.V1_OUTLIVES_V2_MONTHS,
        "notice_days": api_promises.LEAST_NOTICE_DAYS,
    }
    return render(request, "plant/integrators/page.html", context)


@require_safe
@needs(Permission.SEE)
def reference(request: HttpRequest) -> HttpResponse:
    return render(request, "plant/integrators/reference.html")
