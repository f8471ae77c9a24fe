"""Keys of rows as they come back from a page."""

# Digits of the largest key PostgreSQL keeps; more would only be refused later.
_MOST_DIGITS = 18


def key_in(text: str) -> int | None:
    """The key a text names; None when it cannot be one."""
    if text.isascii() and text.isdecimal() and len(text) <= _MOST_DIGITS:
        return int(text)
    return None
