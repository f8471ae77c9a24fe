"""One call of a command as another program sees it."""

import io
import json
from typing import Any

from django.core.management import call_command


def run(name: str, *arguments: str, err: io.StringIO | None = None) -> tuple[int, str, str]:
    """Exit status, standard output, standard error of one call."""
    out, err = io.StringIO(), io.StringIO() if err is None else err
    try:
        call_command(name, *arguments, stdout=out, stderr=err)
    except SystemExit as left:
        return int(left.code or 0), out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def strict(text: str) -> Any:
    """A JSON document without NaN and Infinity."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refuse)
