"""For whoever watches the processes, not for people."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from plant.selectors import readiness


@login_not_required
@never_cache
@require_safe
def process_lives(request: HttpRequest) -> HttpResponse:
    return HttpResponse("ok\n", content_type="text/plain")


@login_not_required
@never_cache
@require_safe
def site_is_ready(request: HttpRequest) -> HttpResponse:
    reason = readiness.what_is_not_ready()
    text = "ready" if reason is None else reason
    status = 200 if reason is None else 503
    return HttpResponse(f"{text}\n", content_type="text/plain; charset=utf-8", status=status)
