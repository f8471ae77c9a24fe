"""What every request has: a bounded size, a password of one's own, a name, a fresh session."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from plant import acting
from plant.models import User

# Where somebody with a one-time password may go.
_DOORS = frozenset({"password-change", "sign-out"})
# A session is written again no more often than this, so that reading pages costs no write.
_FRESH_FOR_S = 15 * 60
_RENEWED_AT = "renewed_at"
_READING = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})

# The largest file anything takes is half of it; eight photos are 80 MB.
LARGEST_BODY_BYTES = 100_000_000

Answer = Callable[[HttpRequest], HttpResponse]


class BodyOfBoundedSize:
    """Refuses what is larger than anything the site takes, before a byte of it is read.

    Files go to disk while a form is parsed, and that is before anybody asks who sends them.
    """

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.headers.get("Content-Length", "")
        if length.isdecimal() and int(length[:20]) > LARGEST_BODY_BYTES:
            megabytes = LARGEST_BODY_BYTES // 1_000_000
            return HttpResponse(
                _("Nothing above %(most)d MB is taken at once. Send fewer or smaller files.")
                % {"most": megabytes},
                status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
                content_type="text/plain; charset=utf-8",
            )
        return self.answer(request)


class PasswordOfOnesOwn:
    """Leads whoever came in with a one-time password to choosing their own, and nowhere else."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.answer(request)

    def process_view(
        self, request: HttpRequest, view: Any, _args: list[Any], _kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        if not getattr(view, "login_required", True):
            return None
        match = request.resolver_match
        if not getattr(request.user, "must_change_password", False):
            return None
        if match is not None and match.url_name in _DOORS:
            return None
        if request.headers.get("HX-Request"):
            # A redirect would be put into the page; this one htmx takes as a whole.
            return HttpResponse(headers={"HX-Redirect": reverse("password-change")})
        return redirect("password-change")


class WritesDownWho:
    """Tells the database who changes the register by this request; the API names its key itself."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method in _READING:
            return self.answer(request)
        with acting.request_begins():
            return self.answer(request)

    def process_view(
        self, request: HttpRequest, view: Any, _args: list[Any], _kwargs: dict[str, Any]
    ) -> None:
        # Elsewhere nobody was asked who they are, and nobody shall be.
        if getattr(view, "login_required", True) and isinstance(request.user, User):
            acting.by_person(request.user)


class SessionStaysFresh:
    """Counts the session's time from the last request, not from sign-in.

    A shift that begins with a long walk must not end in the middle of a form.
    """

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.answer(request)
        # Nothing is looked up for pages that asked nobody who they are: health checks, the API.
        if request.session.accessed and request.user.is_authenticated:
            now = timezone.now().timestamp()
            if now - request.session.get(_RENEWED_AT, 0) > _FRESH_FOR_S:
                request.session[_RENEWED_AT] = now
            # On a shared terminal "back" after signing out must not show the last sheet.
            answer.headers.setdefault("Cache-Control", "private, no-store")
        return answer
