"""Places along a strip of the outage sheet as classes: style attributes are forbidden here."""

from django import template

register = template.Library()

_DIGITS = "abc"


@register.filter
def digits(figure: int, letter: str) -> str:
    """345 with "f" is `fa3 fb4 fc5`: hundreds, tens, ones; sheet_scale.css puts them together."""
    hundreds, rest = divmod(min(int(figure), 1099), 100)
    places = (hundreds, *divmod(rest, 10))
    return " ".join(f"{letter}{one}{place}" for one, place in zip(_DIGITS, places, strict=True))
