"""Keys of a connected system read and write in its words; see plant/wording/.

One place for the whole API: what comes in is put into our words before any view sees it, what a
view answers into theirs. `words=ours` asks for one request without.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.http import HttpRequest, QueryDict
from django.utils import timezone
from rest_framework.exceptions import ErrorDetail, ValidationError
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from plant import wording_shelf
from plant.api import etags
from plant.api.keys import key_of
from plant.errors import DomainError
from plant.models import WordingGap
from plant.selectors.wordings import wording_of
from plant.services import wording_gaps
from plant.wording.refusals import Missed, Why, WordRefused
from plant.wording.wording import Wording
from plant.wording_words import refusal_words

PARAMETER = "words"
# A reader's choice of fields, which plant/api/asking.py cuts an answer to.
FIELDS = "fields"
ITEMS = "items"
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_WITH_BODY = frozenset({"POST", "PUT", "PATCH"})
THEIRS, OURS = "theirs", "ours"
# Every operation takes it; see plant/api/schema.py.
WORDS: dict[str, Any] = {
    "name": PARAMETER,
    "in": "query",
    "description": (
        "In whose words a key of a connected system asks and is answered: the system's, as its "
        "page says (states, urgencies, causes, asset tags; added and renamed fields), or "
        "Loopwright's, as described here. For other keys there is no difference."
    ),
    "schema": {"type": "string", "enum": [THEIRS, OURS], "default": THEIRS},
}


class WordMissing(DomainError):
    """Going out: a strict wording has no word; nothing is told rather than something wrong."""

    code = Why.MISSING.value


class InTheirWords(GenericAPIView):
    """`worded` names the kind of record; without it, it follows from the scope."""

    worded = ""
    wording: Wording | None = None
    # The body as it came, in whoever's words, where it was put into ours.
    body_sent: Any = None
    _refusal: ValidationError | None = None
    # Names of the fields that were asked for, where others had to be fetched as well.
    only: frozenset[str] | None = None
    # Whether the view reads the items of its body one by one, each refused on its own.
    reads_items = False
    scopes: dict[str, str] = {}

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        asked = request.query_params.get(PARAMETER, THEIRS)
        if asked not in {THEIRS, OURS}:
            raise ValidationError({PARAMETER: "Give theirs or ours."}, code="invalid_words")
        self.wording = wording_of(key_of(request).system) if asked == THEIRS else None
        method = str(request.method).lower()
        if self.wording is not None and hasattr(self, method):
            self._read(self.wording, request)
            # Found before the method of the class by whoever hands the request on.
            setattr(self, method, self._answering(self.wording, getattr(self, method)))

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        # A refusal may show the row as it stands; it is told as any other.
        data = getattr(response, "data", None)
        if self.wording is not None and isinstance(data, dict) and "present" in data:
            self._tell_present(self.wording, data)
        return super().finalize_response(request, response, *args, **kwargs)

    @property
    def kind(self) -> str:
        """The kind of record this view tells of."""
        if self.worded:
            return self.worded
        scope = next(iter(self.scopes.values()), "")
        return wording_shelf.kind_of_resource(str(scope).partition(":")[0])

    def note_missed(self, way: WordingGap.Way, missed: set[Missed]) -> None:
        system = key_of(self.request).system
        if missed and system is not None:
            wording_gaps.note_gaps(system=system, way=way, missed=missed, now=timezone.now())

    def _tell_present(self, wording: Wording, data: dict[str, Any]) -> None:
        try:
            data["present"] = wording.to_theirs(self.kind, data["present"])
        except WordRefused as refused:
            # What may not be told is read anew once it has words.
            del data["present"]
            self.note_missed(WordingGap.Way.OUT, {Missed(refused.part, refused.word)})

    def _read(self, wording: Wording, request: Request) -> None:
        missed: set[Missed] = set()
        try:
            _ask(request._request, self._asked(wording, request.query_params, missed))
            if request.method in _WITH_BODY:
                self.body_sent = request.data
                read = self._body_read(wording, self.body_sent, missed)
                request._full_data = read  # type: ignore[attr-defined]
        except WordRefused as refused:
            self.note_missed(WordingGap.Way.IN, {Missed(refused.part, refused.word)})
            # Not yet: what was done before, when the word had its meaning, is answered again.
            self._refusal = _as_field_error(refused)
        else:
            self.note_missed(WordingGap.Way.IN, missed)

    def _body_read(self, wording: Wording, body: Any, missed: set[Missed]) -> Any:
        if not (self.reads_items and isinstance(body, dict) and ITEMS in body):
            return wording.to_ours(self.kind, body, missed)
        rest = {name: value for name, value in body.items() if name != ITEMS}
        return {**wording.to_ours(self.kind, rest, missed), ITEMS: body[ITEMS]}

    def item_read(self, item: dict[str, Any]) -> dict[str, Any] | ValidationError:
        """One item in our words, or why it cannot be; for views with `reads_items`."""
        if self.wording is None:
            return item
        missed: set[Missed] = set()
        try:
            read: dict[str, Any] = self.wording.to_ours(self.kind, item, missed)
        except WordRefused as refused:
            self.note_missed(WordingGap.Way.IN, {Missed(refused.part, refused.word)})
            return _as_field_error(refused)
        self.note_missed(WordingGap.Way.IN, missed)
        return read

    def _asked(self, wording: Wording, query: QueryDict, missed: set[Missed]) -> QueryDict:
        ours = QueryDict(mutable=True)
        for name, values in query.lists():
            if name == FIELDS:
                ours.setlist(name, [self._fields(wording, one) for one in values])
                continue
            our_name = wording.name_to_ours(self.kind, name)
            ours.setlist(our_name, wording.values_to_ours(self.kind, our_name, values, missed))
        return ours

    def _fields(self, wording: Wording, text: str) -> str:
        names = [name.strip() for name in text.split(",")]
        needed = wording.names_to_ours(self.kind, names)
        self.only = frozenset(names) if needed != names else None
        return ",".join(needed)

    def _answering(self, wording: Wording, handler: Callable[..., Any]) -> Callable[..., Any]:
        def answer(*args: Any, **kwargs: Any) -> Any:
            if self._refusal is not None:
                raise self._refusal
            response = handler(*args, **kwargs)
            if isinstance(response, Response) and response.data is not None:
                etags.keep_version(response)
                answered = self._put_into_theirs(wording, response.data)
                response.data = answered if self.only is None else _cut(answered, self.only)
            return response

        return answer

    def _put_into_theirs(self, wording: Wording, data: Any) -> Any:
        """An answer in the system's words; refuses with WordMissing."""
        # What was done is told, whatever it lacks: a refusal would be taken for one of the deed.
        is_done = self.request.method not in _SAFE
        asked = replace(wording, is_strict=False) if is_done else wording
        missed: set[Missed] = set()
        try:
            return asked.to_theirs(self.kind, data, missed)
        except WordRefused as refused:
            missed.add(Missed(refused.part, refused.word))
            raise WordMissing(refusal_words(refused)) from refused
        finally:
            self.note_missed(WordingGap.Way.OUT, missed)


def _cut(data: Any, only: frozenset[str]) -> Any:
    if isinstance(data, dict) and isinstance(data.get("results"), list):
        return {**data, "results": [_cut(row, only) for row in data["results"]]}
    return {name: value for name, value in data.items() if name in only}


def wording_in(request: Request) -> Wording | None:
    """The wording of the request's view, for what stands in an address."""
    view = (request.parser_context or {}).get("view")
    return view.wording if isinstance(view, InTheirWords) else None


def _ask(request: HttpRequest, query: QueryDict) -> None:
    request.GET = query  # type: ignore[assignment]


def _as_field_error(refused: WordRefused) -> ValidationError:
    detail = ErrorDetail(refusal_words(refused), code=refused.why.value)
    return ValidationError({refused.field or "non_field_errors": [detail]})
