"""Tables as text: any of the usual encodings, separators and line ends."""

import codecs
import csv
import io
import re
from collections.abc import Iterator
from itertools import islice
from typing import Any

from plant.register_files import limits
from plant.register_files.headers import likeness
from plant.register_files.refusals import FileRefused
from plant.register_files.tables import Table, filled_rows

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# Pictures, papers and pages, by how they begin.
_OTHER_FILES = (
    b"%PDF",
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"GIF8",
    b"{\\rtf",
    b"<",
    b"\x1f\x8b",
    b"\x7fELF",
)
_SEPARATORS = (",", ";", "\t", "|")
# Letters that no table holds; a picture or a program is full of them.
_NO_TEXT = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
# Bytes above 127 that are one letter of UTF-8.
_UTF8_LETTER = re.compile(rb"[\xc3-\xdf][\x80-\xbf]|[\xe1-\xef][\x80-\xbf]{2}")


def text_of_bytes(content: bytes) -> str:
    """The text of a file, told by its mark, else UTF-8, else the Western code page.

    Raises
    ------
    FileRefused
        Letters broken half-way, or no text at all.
    """
    if content.startswith(_OTHER_FILES):
        raise FileRefused("no_table")
    text = _decoded(content)
    found = _NO_TEXT.search(text)
    if found is not None:
        if "\x00" in text or found.start() < 512:
            raise FileRefused("no_table")
        raise FileRefused("unseen_letter_in_file", row=text.count("\n", 0, found.start()) + 1)
    return text


def text_table(content: bytes) -> Table:
    """The rows of a text file, separated by what makes most sense of its header."""
    text = text_of_bytes(content)
    rows = (list[Any](row) for row in _records(text, _separator(text)))
    return Table("", filled_rows("", rows))


def _decoded(content: bytes) -> str:
    for mark, name in _MARKS:
        if content.startswith(mark):
            return _strictly(content[len(mark) :], name)
    if content[:200].count(0) > len(content[:200]) // 4:
        # UTF-16 without its mark: every other byte of plain letters is nought.
        return _strictly(content, "utf-16-be" if content[:1] == b"\x00" else "utf-16-le")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        if _UTF8_LETTER.search(content):
            raise _broken(content, error.start) from None
    return _strictly(content, "cp1252")


def _strictly(content: bytes, name: str) -> str:
    try:
        return content.decode(name)
    except UnicodeDecodeError as error:
        raise _broken(content, error.start) from None


def _broken(content: bytes, at: int) -> FileRefused:
    return FileRefused("broken_letters", row=content.count(b"\n", 0, at) + 1)


def _separator(text: str) -> str:
    # Enough text for the rows in which a header may stand.
    start = text[: 64 * 1024]
    return max(_SEPARATORS, key=lambda one: (_best_header(start, one), start.count(one)))


def _best_header(text: str, separator: str) -> int:
    best = 0
    try:
        for row in islice(_records(text, separator), limits.HEADER_WITHIN_ROWS):
            best = max(best, likeness(row))
    except FileRefused:
        # With this separator it is no table from there on; what came before still counts.
        return best
    return best


def _records(text: str, separator: str) -> Iterator[list[str]]:
    # With newline="" the reader itself tells all three kinds of line ends, mixed too.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    record = 0
    try:
        for row in reader:
            record += 1
            yield row
    except csv.Error:
        raise FileRefused("broken_record", row=record + 1) from None
