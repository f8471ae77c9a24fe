"""The first page after signing in: what waits for this person."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, greetings, navigation


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    roles = access.roles_of(request.user)
    plants = list(access.plants_of(request.user))
    context = {
        "greeting": greetings.greeting(timezone.now(), plants),
        "asks": greetings.what_a_role_asks(roles),
        "role_words": greetings.role_words(roles),
        "actions": navigation.actions(roles),
        "panels": navigation.panels("today", request),
        "has_plant": bool(plants),
        "first_plant": plants[0] if plants else None,
        "now": timezone.now(),
    }
    return render(request, "plant/today.html", context)
