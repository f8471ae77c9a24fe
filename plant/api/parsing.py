"""Bodies as JSON, of a size a person's complaint can have."""

import json
from collections.abc import Mapping
from typing import Any

from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser
from rest_framework.utils.json import strict_constant

MOST_BYTES = 256 * 1024
# Bulk requests go four deep. What walks a body calls itself on each level.
MOST_LEVELS = 32
# Beyond, no number of a machine holds it: it is as infinite as 1e400.
_MOST_DIGITS = 300


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
            parsed = json.loads(
                body.decode(), parse_constant=strict_constant, parse_int=_whole_number
            )
            # Half a character can be written in JSON, but answered and stored nowhere.
            json.dumps(parsed, ensure_ascii=False).encode()
        except RecursionError:
            raise _TooDeep from None
        except UnicodeEncodeError:
            raise ParseError("A text holds half a character (a lone surrogate).") from None
        except ValueError as error:
            raise ParseError(f"JSON parse error - {error}") from error
        if _levels_of(parsed) > MOST_LEVELS:
            raise _TooDeep
        return parsed


class _TooDeep(ParseError):
    default_detail = f"The JSON is nested too deeply; {MOST_LEVELS} levels are taken."


def _whole_number(text: str) -> int | float:
    return int(text) if len(text) <= _MOST_DIGITS else float(text)


def _levels_of(parsed: Any) -> int:
    """How deep it is nested, as far as it matters."""
    levels, here = 0, [parsed] if isinstance(parsed, dict | list) else []
    while here and levels <= MOST_LEVELS:
        held = [one.values() if isinstance(one, dict) else one for one in here]
        here = [one for several in held for one in several if isinstance(one, dict | list)]
        levels += 1
    return levels
