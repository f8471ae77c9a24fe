"""The name a file had where it came from, kept as text to be read and never as a path."""

import re
import unicodedata

LONGEST = 120
_ENDING = re.compile(r"\.[^.\s]{1,8}$")


def plain_name(name: str) -> str:
    """Its last part, without what cannot be seen: controls and marks that turn text round."""
    last = re.split(r"[/\\]", name)[-1]
    # Categories C: controls, format marks such as the one that writes from right to left.
    seen = "".join(one for one in last if not unicodedata.category(one).startswith("C"))
    words = " ".join(unicodedata.normalize("NFC", seen).split()).strip(". ")
    if len(words) <= LONGEST:
        return words
    ending = _ENDING.search(words)
    kept = ending[0] if ending else ""
    return words[: LONGEST - len(kept)].rstrip() + kept


def with_ending(name: str, ending: str, otherwise: str) -> str:
    """The name for a download: with the ending its contents have, whatever it was called."""
    stem = name or otherwise
    return stem if stem.lower().endswith(ending) else f"{stem}{ending}"
