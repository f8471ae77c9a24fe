"""The words of the live verdict for a page that taps."""

import json

from django import template

from diagnostics.pocket_timed_words import TIMED_WORDS

register = template.Library()


@register.simple_tag
def verdict_words() -> str:
    """Those of a verdict, as JSON for an attribute."""
    said = {key: str(words) for key, words in TIMED_WORDS.items() if _is_of_verdict(key)}
    return json.dumps(said)


def _is_of_verdict(key: str) -> bool:
    return key.startswith(("verdict_", "place"))
