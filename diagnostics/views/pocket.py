"""The walk-down app: its shell for everybody, its data for who is signed in."""

import json
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_POST, require_safe
from rest_framework.exceptions import ValidationError

from diagnostics.models import Case
from diagnostics.pocket_bodies import Envelope, NotJson, read_json
from diagnostics.pocket_shell import shell
from diagnostics.selectors import case_list
from diagnostics.selectors.pocket import kit, news, table
from diagnostics.services import diagnosing
from diagnostics.services import pocket as service
from diagnostics.views.cases import case_asked
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.pictures import PictureRefused
from plant.roles import Permission

_MOST_ENTRIES = 25
_MOST_CASES = 50
# More than any 25 entries without a photo.
_MOST_BYTES = 2_000_000


@require_safe
@gzip_page
@login_not_required
def walk_app(_request: HttpRequest, number: str = "") -> HttpResponse:
    """The same page for everybody and every case: it holds no data, so a phone may keep it."""
    return HttpResponse(shell().page, headers={"Cache-Control": "no-cache"})


@require_safe
@login_not_required
def service_worker(_request: HttpRequest) -> HttpResponse:
    made = shell()
    told = {"version": made.version, "page": reverse("walk-app"), "files": made.files}
    script = render_to_string("diagnostics/pocket/sw.js", {"told": json.dumps(told)})
    return HttpResponse(
        script, content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"}
    )


@require_safe
@login_not_required
def manifest(_request: HttpRequest) -> HttpResponse:
    """What makes it an app of its own on the phone's screen."""
    told = {
        "name": _("Loopwright walk-down"),
        "short_name": "Loopwright",
        "start_url": reverse("walk-app"),
        "scope": reverse("walk-app"),
        "display": "standalone",
        "orientation": "portrait",
        "background_color": "#f6f3ea",
        "theme_color": "#1c2733",
        "icons": [
            {"src": static(f"plant/mark{name}"), "sizes": sizes, "type": kind}
            for name, sizes, kind in (
                (".svg", "any", "image/svg+xml"),
                ("-192.png", "192x192", "image/png"),
                ("-512.png", "512x512", "image/png"),
            )
        ],
    }
    return JsonResponse(told, content_type="application/manifest+json")


@never_cache
@require_safe
@needs(Permission.SEE)
def state(request: HttpRequest) -> HttpResponse:
    """Who is signed in, the site's clock, a token to write with, cases to take along."""
    person = access.person_of(request)
    rows = access.visible(Case.objects.select_related("conveyor"), request.user)
    told = {
        "person": {"key": str(person.pk), "name": str(person)},
        "now": timezone.now().isoformat(),
        "csrf": get_token(request),
        "may_walk": access.may(person, Permission.WALK_DOWN),
        "cases": [
            {
                "number": one.number,
                "summary": one.summary,
                "conveyor": {"tag": one.conveyor.tag, "name": one.conveyor.name},
            }
            for one in case_list.in_state(rows, case_list.OPEN)[:_MOST_CASES]
        ],
    }
    return JsonResponse(told)


@never_cache
@require_safe
@gzip_page
@needs(Permission.WALK_DOWN)
def kit_json(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    return JsonResponse(kit.kit_of(case, access.person_of(request), timezone.now()))


@never_cache
@require_safe
@gzip_page
@needs(Permission.WALK_DOWN)
def table_bin(request: HttpRequest, number: str) -> HttpResponse:
    """404 while the loop is incomplete or too long to tell: the walk goes on without a ranking."""
    try:
        content = table.table_of(case_asked(request, number))
    except ValueError as refusal:
        raise Http404(str(refusal)) from None
    return HttpResponse(content, content_type="application/octet-stream")


@never_cache
@require_safe
@gzip_page
@needs(Permission.WALK_DOWN)
def news_json(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    return JsonResponse(news.news_of(case, access.person_of(request), timezone.now()))


@never_cache
@require_POST
@needs(Permission.WALK_DOWN)
def entries(request: HttpRequest, number: str) -> HttpResponse:
    """Entries of one phone in their order, or one photo; every one answered for itself."""
    case = case_asked(request, number)
    try:
        told, person, photo = _sent(request)
    except NotJson as refusal:
        return _refused(str(refusal), 400)
    if person != str(access.person_of(request).pk):
        text = _("Somebody else is signed in now than the one who recorded this.")
        return JsonResponse({"code": "other_person", "text": text}, status=409)
    with diagnosing.woken_once(case.pk):
        results = [_take(request, case, one, photo) for one in told]
    return JsonResponse({"results": results})


def _sent(request: HttpRequest) -> tuple[list[Any], str, bytes]:
    """The entries, who recorded them, and the photo that came along."""
    if request.content_type == "multipart/form-data":
        file = request.FILES.get("photo")
        told = [read_json(request.POST.get("entry", "").encode())]
        return told, request.POST.get("person", ""), file.read() if file else b""
    if int(request.headers.get("Content-Length") or 0) > _MOST_BYTES:
        raise NotJson(_("Too much at once. Send fewer entries."))
    told = read_json(request.body)
    listed = told.get("entries") if isinstance(told, dict) else None
    if not isinstance(listed, list) or len(listed) > _MOST_ENTRIES:
        text = _("`entries` must be a list of at most %(most)d entries.")
        raise NotJson(text % {"most": _MOST_ENTRIES})
    return listed, str(told.get("person", "")), b""


def _refused(text: str, status: int) -> HttpResponse:
    return JsonResponse({"code": "unreadable", "text": text}, status=status)


def _take(request: HttpRequest, case: Case, told: Any, photo: bytes) -> dict[str, Any]:
    now = timezone.now()
    person = access.person_of(request)
    answer: dict[str, Any] = {"id": told.get("id") if isinstance(told, dict) else None}
    form = Envelope(data=told)
    try:
        form.is_valid(raise_exception=True)
        taken = service.take_entry(case_id=case.pk, sent=form.sent(now, photo), by=person, now=now)
    except ValidationError as refusal:
        return answer | {"outcome": "refused", "code": "invalid", "text": _sentences(refusal)}
    except PictureRefused as refusal:
        return answer | {"outcome": "refused", "code": "picture_refused", "text": str(refusal)}
    except DomainError as refusal:
        return answer | {"outcome": "refused", "code": refusal.code, "text": str(refusal)}
    outcome = taken.entry.outcome
    if taken.is_known and taken.theirs is None:
        outcome = "known"
    theirs = news.look_told(taken.theirs, person) if taken.theirs else None
    return answer | {"outcome": outcome, "code": "", "text": "", "theirs": theirs}


def _sentences(refusal: ValidationError) -> str:
    """`field: what is wrong`, one after the other."""
    return "; ".join(_named("", refusal.detail))


def _named(name: str, detail: Any) -> list[str]:
    if isinstance(detail, dict):
        return [one for key, inside in detail.items() for one in _named(f"{name}{key}.", inside)]
    if isinstance(detail, list):
        return [one for inside in detail for one in _named(name, inside)]
    return [f"{name.rstrip('.')}: {detail}"]
