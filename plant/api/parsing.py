"""Bodies as JSON, of a size a person's complaint can have."""

import json
from collections.abc import Mapping
from io import BytesIO
from typing import Any

from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser

MOST_BYTES = 256 * 1024


class BodyTooLarge(APIException):
    status_code = 413
    default_code = "body_too_large"
    default_detail = f"The body is larger than {MOST_BYTES // 1024} kB."


class BoundedJSONParser(JSONParser):
    """JSON read only so far as it may go: a huge or bottomless body is refused, not swallowed."""

    def parse(
        self,
        stream: Any,
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        body = stream.read(MOST_BYTES + 1)
        if len(body) > MOST_BYTES:
            raise BodyTooLarge
        try:
            parsed = super().parse(BytesIO(body), media_type, parser_context)
            # Half a character can be written in JSON, but answered and stored nowhere.
            json.dumps(parsed, ensure_ascii=False).encode()
        except RecursionError:
            raise ParseError("The JSON is nested too deeply.") from None
        except UnicodeEncodeError:
            raise ParseError("A text holds half a character (a lone surrogate).") from None
        return parsed
