"""Keys of outside systems: seen, made, revoked by administrators of their plant."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.key_forms import OFFERED, KeyForm
from plant.models import ApiKey
from plant.roles import Permission
from plant.services import keys as service

_ROWS = 25


@require_safe
@needs(Permission.ADMINISTER)
def keys(request: HttpRequest) -> HttpResponse:
    rows = access.visible(ApiKey.objects.select_related("plant", "system", "made_by"), request.user)
    # Those that work stand first.
    page = Paginator(rows.order_by("revoked", "-created"), _ROWS).get_page(request.GET.get("page"))
    offered = [words for _scope, words in OFFERED]
    context = {"page": page, "now": timezone.now(), "offered": offered}
    return render(request, "plant/keys/list.html", context)


# Never kept by a browser or proxy: the answer to a good form holds the secret.
@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def key_new(request: HttpRequest) -> HttpResponse:
    plants = access.plants_of(request.user)
    form = KeyForm(request.POST if request.method == "POST" else None, plants=plants)
    if request.method == "GET":
        return render(request, "plant/keys/new.html", {"form": form})
    if not form.is_valid():
        return render(request, "plant/keys/new.html", {"form": form}, status=400)
    try:
        key, secret = service.make_key(
            name=form.cleaned_data["name"],
            plant=form.cleaned_data["plant"],
            system=form.cleaned_data["system"],
            scopes=form.cleaned_data["scopes"],
            expires_at=form.expires_at(),
            requests_per_minute=form.cleaned_data["requests_per_minute"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except (service.KeyExpiresInThePast, service.SystemOfAnotherPlant) as refusal:
        is_day = isinstance(refusal, service.KeyExpiresInThePast)
        form.add_error("last_day" if is_day else "system", str(refusal))
        return render(request, "plant/keys/new.html", {"form": form}, status=409)
    return render(request, "plant/keys/made.html", {"key": key, "secret": secret}, status=201)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def key_revoke(request: HttpRequest, prefix: str) -> HttpResponse:
    rows = ApiKey.objects.select_related("plant")
    key = access.one_visible(rows, request.user, prefix=prefix)
    if request.method == "GET":
        return render(request, "plant/keys/revoke.html", {"key": key})
    try:
        service.revoke_key(prefix=key.prefix, by=access.person_of(request))
    except DomainError as refusal:
        context = {"key": key, "refusal": str(refusal)}
        return render(request, "plant/keys/revoke.html", context, status=409)
    messages.success(request, _("The key of %(name)s works no more.") % {"name": key.name})
    return redirect("keys")
