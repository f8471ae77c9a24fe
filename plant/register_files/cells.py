"""What one cell holds: text, yes or no, a choice; and text that begins like a formula."""

import difflib
import re
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from plant.register_files.limits import LONGEST_CELL
from plant.register_files.refusals import CellRefused

# What spreadsheet programs take for the beginning of a formula, and what hides one of those.
_FORMULA = re.compile(r"^'*[=+\-@\t\r\n＝＋－＠]")
_HIDDEN = re.compile(r"^'+[=+\-@\t\r\n＝＋－＠]")
_UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_YES = frozenset({"yes", "y", "true", "1", "x", "on"})
_NO = frozenset({"no", "n", "false", "0", "off", "-"})


class Formula(str):
    """A cell that computes; what it would say is not known."""


class ErrorValue(str):
    """A cell that says #REF! or the like."""


def neutral(text: str) -> str:
    """Text as it is written into a file: what begins like a formula gets an apostrophe first.

    Text that looks like the outcome gets one more, so that every text can be told back.
    """
    return f"'{text}" if _FORMULA.match(text) else text


def told_back(text: str) -> str:
    """The inverse of `neutral`."""
    return text[1:] if _HIDDEN.match(text) else text


def tidy(text: str) -> str:
    """Text as it is compared and kept: one kind of line end, nothing unseen, no blanks around."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return _UNSEEN.sub("", lines).strip()


def plain(words: str) -> str:
    """Words without case, accents and everything that is no letter or digit, for matching."""
    folded = unicodedata.normalize("NFKD", words.casefold())
    letters = (one if one.isalnum() else " " for one in folded if not unicodedata.combining(one))
    return " ".join("".join(letters).split())


def is_empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def text_of(cell: Any) -> str:
    """The text of any cell that is no formula and no error."""
    check_plain(cell)
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    if isinstance(cell, datetime):
        at_midnight = cell.time() == time()
        return cell.date().isoformat() if at_midnight else cell.isoformat(" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    text = str(cell)
    if len(text) > LONGEST_CELL:
        raise CellRefused("cell_too_long", most=LONGEST_CELL)
    if _UNSEEN.search(text):
        raise CellRefused("unseen_letters")
    return tidy(told_back(tidy(text)))


def check_plain(cell: Any) -> None:
    if isinstance(cell, Formula):
        raise CellRefused("formula", cell=str(cell)[:60])
    if isinstance(cell, ErrorValue):
        raise CellRefused("error_value", cell=str(cell)[:20])


def yes_or_no(cell: Any) -> bool:
    said = text_of(cell).casefold()
    if said in _YES:
        return True
    if said in _NO:
        return False
    raise CellRefused("not_yes_or_no", cell=said[:40])


def choice_of(cell: Any, choices: Mapping[str, str]) -> str:
    """The value of a choice, by its plain words; `choices` leads from those to the value."""
    said = plain(text_of(cell))
    if said in choices:
        return choices[said]
    near = difflib.get_close_matches(said[:40], list(choices), 1, 0.75)
    raise CellRefused(
        "not_a_choice",
        cell=text_of(cell)[:40],
        known=list(choices),
        near=near[0] if near else "",
    )


def list_of(cell: Any) -> list[str]:
    """Words between commas; spare commas and blanks do no harm, words said twice count once."""
    found: dict[str, str] = {}
    for name in text_of(cell).split(","):
        words = " ".join(name.split())
        if words:
            found.setdefault(words.casefold(), words)
    return list(found.values())


def lines_of(text: str) -> list[str]:
    """Words one to a line, in their order; empty lines do no harm, lines said twice count once."""
    found: dict[str, str] = {}
    for line in tidy(text).split("\n"):
        words = " ".join(line.split())
        if words:
            found.setdefault(words.casefold(), words)
    return list(found.values())


def written(value: Any) -> Any:
    """A value of the register as a cell of a file; numbers and days stay what they are."""
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    if isinstance(value, int | float | date):
        return value
    if isinstance(value, list | tuple):
        value = ", ".join(value)
    return neutral(tidy(str(value)))
