"""Reading one field of a case file: the value, or a refusal that says where and what is accepted.

A `Field` knows its place in the file; every refusal is one line.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar

# Enough of a wrong value to recognise it by; the refusal must stay one readable line.
_SHOWN_CHARACTERS = 60
# No quantity on a belt conveyor is larger, in any of our units.
LARGEST = 1e9

Word = TypeVar("Word", bound=StrEnum)


class CaseFileError(ValueError):
    """The file is refused; the text names case, row, field and the accepted form."""


@dataclass(frozen=True)
class Field:
    """A value and where it stands; `place` reads like "case W-1: walk_down row 3: load"."""

    value: Any
    place: str

    def refuse(self, accepted: str) -> CaseFileError:
        return CaseFileError(f"{self.place}: must be {accepted}, not {_shown(self.value)}.")

    def entry(self, key: str) -> "Field":
        """The value under a key that has to be there."""
        found = self.maybe(key)
        if key not in self.value:
            raise CaseFileError(f"{found.place}: is missing.")
        return found

    def maybe(self, key: str) -> "Field":
        """The value under a key, None when it is not there."""
        if not isinstance(self.value, dict):
            raise self.refuse("an object")
        return Field(self.value.get(key), f"{self.place}: {key}")

    def rows(self) -> Iterator["Field"]:
        """Every entry of an array, counted from 1 as people count rows."""
        if not isinstance(self.value, list):
            raise self.refuse("an array")
        for number, value in enumerate(self.value, start=1):
            yield Field(value, f"{self.place} row {number}")

    def number(self, least: float = -LARGEST, most: float = LARGEST) -> float:
        """A finite number within its bounds, ends included; a string, true or NaN is none."""
        accepted = f"a number from {least:g} to {most:g}"
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            raise self.refuse(accepted)
        try:
            number = float(self.value)
        except OverflowError:
            raise self.refuse(accepted) from None
        # NaN compares false with everything.
        if not least <= number <= most:
            raise self.refuse(accepted)
        return number

    def number_or(self, default: float, least: float, most: float) -> float:
        return default if self.value is None else self.number(least, most)

    def number_or_none(self, least: float = -LARGEST, most: float = LARGEST) -> float | None:
        return None if self.value is None else self.number(least, most)

    def count(self, most: int) -> int:
        """A whole number from 1 to `most`."""
        number = self.number(1, most)
        if number != int(number):
            raise self.refuse(f"a whole number from 1 to {most}")
        return int(number)

    def text(self) -> str:
        if not isinstance(self.value, str) or not self.value.strip():
            raise self.refuse("a text that is not empty")
        return self.value

    def word(self, words: type[Word]) -> Word:
        """One word of a closed vocabulary."""
        if isinstance(self.value, str) and self.value in set(words):
            return words(self.value)
        raise self.refuse("one of " + ", ".join(words))

    def word_or_none(self, words: type[Word]) -> Word | None:
        return None if self.value is None else self.word(words)


def _shown(value: Any) -> str:
    try:
        text = json.dumps(value)
    except (RecursionError, ValueError):
        text = type(value).__name__
    return text if len(text) <= _SHOWN_CHARACTERS else text[: _SHOWN_CHARACTERS - 3] + "..."
