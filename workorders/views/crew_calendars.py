"""A crew's calendar: for other programs by a secret address, for people as a file."""

import hashlib

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.keys_typed import key_in
from plant.roles import Permission
from workorders.models import Crew
from workorders.selectors import crew_calendar as selectors
from workorders.services import crew_calendars as service


@login_not_required
@require_safe
def crew_feed(request: HttpRequest, pk: int, token: str) -> HttpResponse:
    """For calendar programs, which cannot sign in: whoever knows the address reads it."""
    crew = selectors.crew_of_address(pk, token)
    if crew is None:
        raise Http404
    answer = _answer(request, crew)
    # The address is the secret: it must not travel on, nor be kept where others look.
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer


@require_safe
@needs(Permission.SEE)
def crew_calendar_file(request: HttpRequest, pk: int) -> HttpResponse:
    crew = _crew_asked(request, pk)
    answer = _answer(request, crew)
    answer["Content-Disposition"] = f'attachment; filename="crew-{crew.pk}.ics"'
    return answer


@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def crew_calendar(request: HttpRequest, pk: int) -> HttpResponse:
    crew = _crew_asked(request, pk)
    if request.method == "GET":
        asked = request.GET.get("ask", "")
        context = {"crew": crew, "asked": asked if crew.calendar_key_hash else ""}
        return render(request, "workorders/papers/crew_calendar.html", context)
    try:
        return _changed(request, crew)
    except DomainError as refusal:
        crew.refresh_from_db()
        context = {"crew": crew, "refusal": str(refusal)}
        return render(request, "workorders/papers/crew_calendar.html", context, status=409)


def _changed(request: HttpRequest, crew: Crew) -> HttpResponse:
    by, version = access.person_of(request), key_in(request.POST.get("version", ""))
    if request.POST.get("do") == "withdraw":
        service.withdraw_address(crew_id=crew.pk, version=version, by=by)
        messages.success(request, _("The address opens nothing any more."))
        return redirect("crew-calendar", pk=crew.pk)
    token = service.make_address(crew_id=crew.pk, version=version, by=by)
    crew.refresh_from_db()
    # Shown in the answer itself, the only time: nothing keeps it.
    address = request.build_absolute_uri(reverse("crew-feed", args=[crew.pk, token]))
    context = {"crew": crew, "address": address}
    return render(request, "workorders/papers/crew_calendar.html", context, status=201)


def _crew_asked(request: HttpRequest, pk: int) -> Crew:
    return access.one_visible(Crew.objects.select_related("plant"), request.user, pk=pk)


def _answer(request: HttpRequest, crew: Crew) -> HttpResponse:
    text = selectors.calendar_of(crew, timezone.now(), request.build_absolute_uri)
    etag = f'"{hashlib.sha256(text).hexdigest()[:32]}"'
    whole = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    whole["ETag"] = etag
    answer = get_conditional_response(request, etag=etag, response=whole) or whole
    answer["Cache-Control"] = "private, no-store"
    return answer
