"""Requests as this site reads them: in UTF-8, whatever they claim."""

from typing import Any

from django.core.handlers.wsgi import WSGIRequest
from django.utils.http import parse_header_parameters


class Utf8Request(WSGIRequest):
    """Python knows codecs that are none of text; a header that names one would break the request
    before any page or error page could see it. Forms and JSON come in UTF-8 anyway.
    """

    def _set_content_type_params(self, meta: dict[str, Any]) -> None:
        self.content_type, self.content_params = parse_header_parameters(
            meta.get("CONTENT_TYPE", "")
        )
