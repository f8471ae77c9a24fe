"""One key: what it may do, changed; its secret, replaced; who did what to it."""

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.key_forms import KeyChangeForm, ReplaceForm
from plant.key_words import log_lines
from plant.models import ApiKey
from plant.roles import Permission
from plant.services import changing_keys as service
from plant.services.keys import KeyExpiresInThePast
from plant.views.keeping import posted, version_of

_ROWS = 25


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def key(request: HttpRequest, prefix: str) -> HttpResponse:
    row = _row(request, prefix)
    form = KeyChangeForm(posted(request), key=row)
    if request.method == "GET":
        return _page(request, row, form)
    if not form.is_valid():
        return _page(request, row, form, 400)
    try:
        changed = _change(request, row, form)
    except DomainError as refusal:
        is_end = isinstance(refusal, KeyExpiresInThePast)
        form.add_error("last_day" if is_end else None, str(refusal))
        return _page(request, _row(request, prefix), form, 409)
    text = _("The key of %(name)s is changed; it holds from the next request on.")
    messages.success(request, text % {"name": changed.name})
    return redirect("key", prefix=prefix)


# Never kept by a browser or proxy: the answer to a good form holds the secret.
@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def key_replace(request: HttpRequest, prefix: str) -> HttpResponse:
    row, now = _row(request, prefix), timezone.now()
    form = ReplaceForm(posted(request), plant=row.plant, now=now)
    context = {"key": row, "form": form, "former_works": service.former_works(row, now)}
    if request.method == "GET":
        return render(request, "plant/keys/replace.html", context)
    if not form.is_valid():
        return render(request, "plant/keys/replace.html", context, status=400)
    try:
        made, secret = service.replace_secret(
            prefix=prefix,
            former_until=form.former_until(),
            by=access.person_of(request),
            now=now,
        )
    except DomainError as refusal:
        is_day = isinstance(refusal, service.OverlapEndsInThePast)
        form.add_error("former_last_day" if is_day else None, str(refusal))
        return render(request, "plant/keys/replace.html", context, status=409)
    shown = {"key": made, "secret": secret, "former_works": service.former_works(made, now)}
    return render(request, "plant/keys/made.html", shown, status=201)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def key_end_former(request: HttpRequest, prefix: str) -> HttpResponse:
    row = _row(request, prefix)
    if request.method == "GET":
        return render(request, "plant/keys/end_former.html", {"key": row})
    try:
        service.end_former_secret(prefix=prefix, by=access.person_of(request), now=timezone.now())
    except DomainError as refusal:
        context = {"key": row, "refusal": str(refusal)}
        return render(request, "plant/keys/end_former.html", context, status=409)
    messages.success(request, _("The old secret of %(name)s works no more.") % {"name": row.name})
    return redirect("key", prefix=prefix)


def _row(request: HttpRequest, prefix: str) -> ApiKey:
    rows = ApiKey.objects.select_related("plant", "made_by", "system")
    return access.one_visible(rows, request.user, prefix=prefix)


def _change(request: HttpRequest, row: ApiKey, form: KeyChangeForm) -> ApiKey:
    return service.change_key(
        prefix=row.prefix,
        version=version_of(request),
        name=form.cleaned_data["name"],
        system=form.cleaned_data["system"],
        scopes=form.cleaned_data["scopes"],
        expires_at=form.expires_at(),
        requests_per_minute=form.cleaned_data["requests_per_minute"],
        by=access.person_of(request),
        now=timezone.now(),
    )


def _page(
    request: HttpRequest, row: ApiKey, form: KeyChangeForm, status: int = 200
) -> HttpResponse:
    page = Paginator(row.log.all(), _ROWS).get_page(request.GET.get("page"))
    now = timezone.now()
    context = {
        "key": row,
        "form": form,
        "now": now,
        "former_works": service.former_works(row, now),
        "usual_limit": settings.API_REQUESTS_PER_MINUTE,
        "page": page,
        "lines": log_lines(page.object_list, row.plant),
    }
    return render(request, "plant/keys/key.html", context, status=status)
