"""Taps as lines of text, one a line: `12.4 over left`, `1:05 back`, `20 splice`, `300 end`.

The tapping page writes such lines, and a person with a stop watch can type them.
"""

import re

from diagnostics.inference.as_seen import side_in_register
from diagnostics.inference.evidence import Tap
from diagnostics.inference.vocabulary import TapEvent
from plant.loop.vocabulary import Side

ACCEPTED = "a time and what happened, such as 12.4 over left, 1:05 back, 20 splice or 300 end"
# More are no person's taps; and ten days. [s]
MOST_TAPS, LONGEST_S = 400, 864_000.0
_LINE = re.compile(
    r"(?:(?P<minutes>\d{1,5}):)?(?P<seconds>\d{1,6}(?:[.,]\d{1,6})?)\s*s?\s+"
    r"(?P<word>over[\s-]+left|over[\s-]+right|back|splice(?:[\s-]+passes)?|end)",
    re.IGNORECASE,
)
_OVER = {Side.LEFT: TapEvent.OVER_LEFT, Side.RIGHT: TapEvent.OVER_RIGHT}


def read_tap_lines(text: str, *, is_facing_tail: bool) -> tuple[tuple[Tap, ...], float]:
    """The taps, sides as in the register, and how long was watched.

    Parameters
    ----------
    text : str
        One tap a line, in order of time; `end` says when the watch ended, else the last tap does.
    is_facing_tail : bool
        Whether left and right were said by a person who faces the tail.

    Returns
    -------
    tuple of Tap, float
        The taps, and the duration. [s]

    Raises
    ------
    ValueError
        Naming the line and the accepted form.
    """
    taps: list[Tap] = []
    last_s, ended = 0.0, False
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        found = _LINE.fullmatch(line.strip())
        if found is None:
            raise ValueError(f"line {number}: {line.strip()[:40]!r} cannot be read; {ACCEPTED}")
        at_s = _seconds(found)
        if at_s < last_s or ended:
            after = "the end" if ended else f"{last_s:g} s"
            raise ValueError(f"line {number}: {at_s:g} s comes after {after}; times run forwards")
        if at_s > LONGEST_S or len(taps) >= MOST_TAPS:
            raise ValueError(f"line {number}: at most {MOST_TAPS} taps in ten days are read")
        last_s, word = at_s, " ".join(re.split(r"[\s-]+", found["word"].casefold()))
        ended = word == "end"
        if not ended:
            taps.append(Tap(at_s, _event(word, is_facing_tail)))
    return tuple(taps), last_s


def _seconds(found: re.Match[str]) -> float:
    return int(found["minutes"] or 0) * 60 + float(found["seconds"].replace(",", "."))


def _event(word: str, is_facing_tail: bool) -> TapEvent:
    if word.startswith("over"):
        side = Side(word.split()[1])
        return _OVER[side_in_register(side, is_facing_tail=is_facing_tail)]
    return TapEvent.BACK if word == "back" else TapEvent.SPLICE
