"""What may stand behind the `?` of an address, for every resource in one place.

A name nobody knows is refused: a misspelt filter that narrows nothing would be believed.
`fields` cuts the answer to what was asked for.
"""

from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from rest_framework.exceptions import ErrorDetail, ValidationError
from rest_framework.generics import GenericAPIView
from rest_framework.mixins import ListModelMixin
from rest_framework.request import Request
from rest_framework.response import Response

FIELDS = "fields"
_READING = frozenset({"GET", "HEAD"})
# In whose words a connected system asks; plant/api/their_words.py reads it.
_ALWAYS = frozenset({"words"})
_LONGEST_NAME = 60


class AsksByName(GenericAPIView):
    """`query_names` are those of a view of its own, beside filters, pages and `fields`."""

    query_names: frozenset[str] = frozenset()
    # Whether an answer can be cut to `fields`.
    is_sparse = True

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        method = str(request.method).lower()
        if hasattr(self, method):
            # Found before the method of the class by whoever hands the request on; what others
            # do to request and answer is done around it.
            setattr(self, method, self._as_asked(getattr(self, method)))

    def _as_asked(self, handler: Callable[..., Any]) -> Callable[..., Any]:
        def answer(request: Request, *args: Any, **kwargs: Any) -> Any:
            self._check_names(request)
            wanted = self._wanted(request)
            response = handler(request, *args, **kwargs)
            if wanted is not None and isinstance(response, Response):
                response.data = _cut(response.data, wanted)
            return response

        return answer

    def _check_names(self, request: Request) -> None:
        several = self._filters()
        known = self.known_names(str(request.method))
        for name, values in request.query_params.lists():
            if name not in known:
                told = unknown_name(name, "unknown_parameter", known, of="parameter")
                raise ValidationError({name: told})
            if len(values) > 1 and not getattr(several.get(name), "takes_several", False):
                raise ValidationError({name: ErrorDetail("Give it once.", "given_twice")})

    def known_names(self, method: str) -> set[str]:
        names = {*_ALWAYS, *self.query_names}
        if method not in _READING:
            return names
        if isinstance(self, ListModelMixin):
            names |= {*self._filters(), *getattr(self.paginator, "query_names", ())}
        return names | ({FIELDS} if self.is_sparse else set())

    def _filters(self) -> Mapping[str, Any]:
        narrowed_by = getattr(self, "filterset_class", None)
        return narrowed_by.base_filters if narrowed_by else {}

    def field_names(self) -> list[str]:
        shown: Any = self.get_serializer_class()()
        return list(shown.fields)

    def _wanted(self, request: Request) -> set[str] | None:
        if request.method not in _READING or FIELDS not in request.query_params:
            return None
        known = self.field_names()
        wanted = [name.strip() for name in request.query_params[FIELDS].split(",")]
        for name in wanted:
            if name not in known:
                raise ValidationError({FIELDS: unknown_name(name, "unknown_field", known)})
        return set(wanted)


def unknown_name(name: str, code: str, known: Iterable[str], *, of: str = "field") -> ErrorDetail:
    """That there is no such name, the nearest, and which there are."""
    names = sorted(known)
    near = get_close_matches(name[:_LONGEST_NAME], names, 1, 0.5)
    said = f"There is no {of} {name[:_LONGEST_NAME]}."
    nearest = f" Nearest: {near[0]}." if near else ""
    there = f" There are: {', '.join(names)}." if names else ""
    return ErrorDetail(said + nearest + there, code)


def _cut(data: Any, wanted: set[str]) -> Any:
    if isinstance(data, dict) and isinstance(data.get("results"), list):
        return {**data, "results": [_cut(row, wanted) for row in data["results"]]}
    if isinstance(data, dict):
        return {name: value for name, value in data.items() if name in wanted}
    return data
