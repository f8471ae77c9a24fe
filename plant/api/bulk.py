"""Several writes in one request: `POST .../bulk`, one result for each item.

A view says in `do_one` what one item asks; `record_now` tells how its row stands when another
version was meant. An item is judged and answered as a request of its own would be.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.http import Http404
from drf_spectacular.utils import OpenApiExample, extend_schema, inline_serializer
from rest_framework import serializers
from rest_framework.exceptions import APIException
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api.bodies import Body
from plant.api.rows import RowsOfTheKey
from plant.config import api_errors
from plant.errors import DomainError
from plant.services import bulk

MOST_ITEMS = 200
_REFUSALS = (DomainError, APIException, Http404, ObjectDoesNotExist)
_UNDONE = "It could be done, and was not: another item was refused."
_WHOLE = "Nothing was done: %d of the %d items were refused; `results` says which and why."


@dataclass(frozen=True)
class Done:
    """`record` is the row as it stands then."""

    record: Any
    status: HTTPStatus = HTTPStatus.OK


class BulkAsked(Body):
    all_or_nothing = serializers.BooleanField(default=False)
    items = serializers.ListField(
        child=serializers.DictField(), min_length=1, max_length=MOST_ITEMS
    )


class BulkWrite(RowsOfTheKey):
    pagination_class = None
    reads_items = True

    def prepare(self, items: Sequence[dict[str, Any]]) -> None:
        """Lock what the items will lock, in an order that is always the same."""

    def do_one(self, item: dict[str, Any]) -> Done:
        raise NotImplementedError

    def record_now(self, item: dict[str, Any]) -> Any:
        """The row an item is about as it is now, for whoever named another version of it."""

    def post(self, request: Request, *_args: Any, **_kwargs: Any) -> Response:
        asked = BulkAsked(data=request.data)
        asked.is_valid(raise_exception=True)
        sent, together = asked.validated_data["items"], asked.validated_data["all_or_nothing"]
        items = [self.item_read(item) for item in sent]
        outcomes = bulk.do_each(
            items=items,
            prepare=lambda: self.prepare([one for one in items if isinstance(one, dict)]),
            do=self._do_read,
            refusals=_REFUSALS,
            all_or_nothing=together,
        )
        refused = sum(isinstance(one, Exception) for one in outcomes)
        is_undone = together and refused > 0
        results = [
            {"index": index, **self._told(item, outcome, is_undone=is_undone)}
            for index, (item, outcome) in enumerate(zip(items, outcomes, strict=True))
        ]
        if not is_undone:
            return Response({"results": results})
        words = _WHOLE % (refused, len(items))
        body = api_errors.problem(HTTPStatus.CONFLICT, "all_or_nothing", words, request.path)
        return Response(
            {**body, "results": results}, status=409, content_type=api_errors.MEDIA_TYPE
        )

    def _do_read(self, item: dict[str, Any] | APIException) -> Done:
        """A word that is none is refused as a wrong field is."""
        if isinstance(item, APIException):
            raise item
        return self.do_one(item)

    def _told(self, item: Any, outcome: Done | Exception, *, is_undone: bool) -> dict[str, Any]:
        path = self.request.path
        if isinstance(outcome, Done) and not is_undone:
            return {"status": outcome.status.value, "record": outcome.record}
        if isinstance(outcome, Done):
            told = api_errors.problem(
                HTTPStatus.FAILED_DEPENDENCY, "other_item_refused", _UNDONE, path
            )
            return {"status": told["status"], "problem": told}
        problem = api_errors.told(outcome, path, names_version=True)
        assert problem is not None, "Faults rise; only refusals come here."
        if problem["status"] == HTTPStatus.PRECONDITION_FAILED:
            problem |= self._present(item)
        return {"status": problem["status"], "problem": problem}

    def _present(self, item: dict[str, Any]) -> dict[str, Any]:
        try:
            record = self.record_now(item)
        except (Http404, ObjectDoesNotExist):
            # Removed meanwhile; what was done with the other items is told all the same.
            record = None
        return {} if record is None else {"present": record}


def bulk_schema(
    operation_id: str,
    summary: str,
    description: str,
    *,
    item: type[serializers.Serializer[Any]],
    record: type[serializers.Serializer[Any]],
    tag: str,
    items: Sequence[Any],
    shown: Any,
) -> Any:
    """Of a `post`. `items` are examples of what is asked, `shown` of a record.

    Names of the shapes come from the serializer of an item.
    """
    name = item.__name__
    asked = type(
        f"{name}Bulk",
        (Body,),
        {
            "all_or_nothing": serializers.BooleanField(default=False),
            "items": serializers.ListField(child=item(), min_length=1, max_length=MOST_ITEMS),
        },
    )
    result = inline_serializer(
        f"{name}Result",
        {
            "index": serializers.IntegerField(help_text="Place of the item, from 0."),
            "status": serializers.IntegerField(help_text="As a request of its own would have."),
            "record": record(required=False, help_text="When it was done."),
            "problem": serializers.DictField(
                required=False, help_text="When it was refused: a problem document."
            ),
        },
    )
    answer = inline_serializer(f"{name}Results", {"results": serializers.ListField(child=result)})
    return extend_schema(
        operation_id=operation_id,
        summary=summary,
        description=(
            f"{description} At most {MOST_ITEMS} items, each judged and answered as a request of "
            "its own would be; the answer is 200 whatever became of them. With `all_or_nothing` "
            "one refusal undoes all: 409 (`all_or_nothing`) with `results`, where 424 marks what "
            "could have been done."
        ),
        request=asked,
        responses=answer,
        examples=_examples(items, shown),
        tags=[tag],
    )


def _examples(items: Sequence[Any], shown: Any) -> list[OpenApiExample]:
    refused = api_errors.problem(
        HTTPStatus.NOT_FOUND, "not_found", "There is no such row, or it is another plant's.", ""
    )
    results = [
        {"index": 0, "status": 200, "record": shown},
        {"index": 1, "status": 404, "problem": refused},
    ]
    asked = {"all_or_nothing": False, "items": list(items)}
    return [
        OpenApiExample("Several at once", value=asked, request_only=True),
        OpenApiExample("One done, one refused", value={"results": results}, response_only=True),
    ]
