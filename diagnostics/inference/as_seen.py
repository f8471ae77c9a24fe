"""What a person says at a station, turned into the one convention of the record.

Offsets are in mm, positive to the right when looking in the direction of carrying travel, on both
runs. A person says left and right as they see them: only one who faces the tail sees them the other
way round, whichever run they look at and whichever way a reversing belt runs.
"""

import re

from plant.loop.vocabulary import Side

MM_PER_INCH = 25.4  # exact, by definition
ACCEPTED = "a figure in mm or inches, such as 45, 45 mm, -30 mm or 1 3/4 in"
# No belt of the register is wider. [mm]
MOST_MM = 4000.0
# A longer answer than this is no figure; keeps a pasted page away from the pattern below.
_LONGEST = 40
_MINUS_SIGNS = "\N{MINUS SIGN}\N{EN DASH}-"
_INCH_MARKS = '"\N{DOUBLE PRIME}\N{RIGHT DOUBLE QUOTATION MARK}'
_FIGURE = re.compile(
    rf"""
    (?P<sign>[+{_MINUS_SIGNS}])?\s*
    (?:
        (?P<whole>[0-9]+)[\s-]+(?P<over>[0-9]+)/(?P<under>[0-9]+)
      | (?P<only_over>[0-9]+)/(?P<only_under>[0-9]+)
      | (?P<decimal>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)
    )
    \s*(?P<unit>mm|millimet(?:er|re)s?|inch(?:es)?|in\.?|[{_INCH_MARKS}])?
    """,
    re.VERBOSE | re.IGNORECASE,
)


def side_in_register(side_as_seen: Side, *, is_facing_tail: bool) -> Side:
    """The register's side for what a person calls left or right.

    Parameters
    ----------
    side_as_seen : Side
        Left or right as the person sees it.
    is_facing_tail : bool
        False for a person who faces the head, which is the way the belt carries.

    Notes
    -----
    Its own inverse: the same call turns a register's side into what the person sees.
    """
    return side_as_seen.opposite if is_facing_tail else side_as_seen


def offset_from_words(words: str, side_as_seen: Side | None, *, is_facing_tail: bool) -> float:
    """An offset as it was typed, in the convention of the record. [mm]

    Parameters
    ----------
    words : str
        A figure in mm (no unit means mm) or inches, whole, decimal or with a fraction.
    side_as_seen : Side or None
        The side the person named, as they see it. Without one the sign decides: plus is right,
        minus is left, both looking in carrying travel, whichever way the person faces.
    is_facing_tail : bool

    Returns
    -------
    float
        Positive to the right when looking in carrying travel. [mm]

    Raises
    ------
    ValueError
        No figure, another unit, more than any belt is wide, a side and a minus together, or
        neither side nor sign for an offset that is not 0.
    """
    size_mm, sign = _figure(words)
    if side_as_seen is not None:
        if sign < 0:
            raise ValueError("say the side or put a minus before the figure, not both")
        return _without_minus_zero(
            size_mm * side_in_register(side_as_seen, is_facing_tail=is_facing_tail).sign
        )
    if size_mm == 0:
        return 0.0
    if sign == 0:
        raise ValueError(
            "say to which side, or put a plus (right) or minus (left, looking in carrying travel) "
            "before the figure"
        )
    return size_mm * sign


def _figure(words: str) -> tuple[float, int]:
    """Size [mm] and sign: 1, -1, or 0 where none was written."""
    text = words.strip()
    found = _FIGURE.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None:
        raise ValueError(f"must be {ACCEPTED}")
    size = _size(found)
    is_metric = not found["unit"] or found["unit"].lower().startswith("m")
    sign = 0 if not found["sign"] else (1 if found["sign"] == "+" else -1)
    size_mm = size if is_metric else size * MM_PER_INCH
    if size_mm > MOST_MM:
        raise ValueError(f"must be at most {MOST_MM:g} mm, which is wider than any belt")
    return size_mm, sign


def _size(found: re.Match[str]) -> float:
    if found["decimal"]:
        return float(found["decimal"].replace(",", "."))
    over, under = found["over"] or found["only_over"], found["under"] or found["only_under"]
    if int(under) == 0:
        raise ValueError("a fraction needs something other than 0 below the line")
    return int(found["whole"] or 0) + int(over) / int(under)


def _without_minus_zero(value: float) -> float:
    return value + 0.0
