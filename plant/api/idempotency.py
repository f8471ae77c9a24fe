"""`Idempotency-Key`: optional with every POST, of no meaning with anything else.

The answer of such a POST is written out once and handed on as it was, first time or again.
"""

import json
from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from rest_framework.generics import GenericAPIView
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from plant.api import etags
from plant.api.keys import key_of
from plant.services import idempotency
from plant.services.idempotency import Answer

HEADER = "Idempotency-Key"

Handler = Callable[..., Response]


class DoneOnce(GenericAPIView):
    """Who asks is known and allowed to before anything is looked up under their key."""

    # Only views that take a POST have one.
    post: Any
    # Set where it was put into other words; see plant/api/their_words.py.
    body_sent: Any = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if request.method == "POST" and HEADER in request.headers and hasattr(self, "post"):
            self._once = self.post
            # Found before the method of the class by whoever hands the request on.
            self.post = self._post_once

    def _post_once(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        answer = idempotency.answer_once(
            key=key_of(request),
            idempotency_key=request.headers[HEADER],
            asked=self._wanted_of(request),
            do=lambda: _written(self._once(request, *args, **kwargs)),
            now=timezone.now(),
        )
        return HttpResponse(answer.body, status=answer.status, headers=answer.headers)

    def _wanted_of(self, request: Request) -> str:
        """Bodies that say the same are the same, however they are spaced.

        As they were sent: what the words of a system stand for may change before it asks again.
        """
        sent = request.data if self.body_sent is None else self.body_sent
        body = json.dumps(sent, sort_keys=True)
        return f"{request.method} {request.get_full_path()}\n{body}"


def _written(response: Response) -> Answer:
    # What a response says of its type before it is rendered is not what it will be.
    headers = {name: text for name, text in response.headers.items() if name != "Content-Type"}
    headers["Content-Type"] = response.content_type or JSONRenderer.media_type
    body = JSONRenderer().render(response.data).decode()
    version = etags.version_told(response)
    if version is not None:
        headers.setdefault("ETag", etags.etag_of(body.encode(), version))
    return Answer(response.status_code, body, headers)
