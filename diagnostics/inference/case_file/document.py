"""Walk-down case files: a document with `cases`, a bare array of cases, or one case.

One bad case refuses the file. Keys that are not known, and `truth`, are ignored.
"""

import json
from dataclasses import dataclass
from typing import Any, NoReturn

from diagnostics.inference.case_file.conveyor import read_conveyor
from diagnostics.inference.case_file.fields import CaseFileError, Field
from diagnostics.inference.case_file.looks import read_sightings, read_timed_looks
from diagnostics.inference.evidence import Evidence

__all__ = ["CaseFileError", "FileCase", "named_cases", "read_case_file", "read_evidence"]


@dataclass(frozen=True)
class FileCase:
    """One case of a file; `name` is its id, or its index from 0 when it has none."""

    name: str | int
    evidence: Evidence


def read_case_file(content: bytes) -> tuple[FileCase, ...]:
    """Read a whole case file, or refuse it.

    Parameters
    ----------
    content : bytes
        The file as it is stored, UTF-8 with or without a byte order mark.

    Returns
    -------
    tuple of FileCase
        In the order of the file, at least one.

    Raises
    ------
    CaseFileError
        One line that names the case, the row, the field and the accepted form.
    """
    return tuple(FileCase(name, read_evidence(name, case)) for name, case in named_cases(content))


def named_cases(content: bytes) -> tuple[tuple[str | int, Field], ...]:
    """The cases of a file, each with its name, before anything else of them is read.

    Parameters
    ----------
    content : bytes

    Returns
    -------
    tuple of (name, Field)
        In the order of the file, at least one; each field's place names its case.

    Raises
    ------
    CaseFileError
        When the file is no set of cases, or two of them have one name.
    """
    found = _cases_of(_parsed(content))
    if not found:
        raise CaseFileError("the file holds no case.")
    return tuple(
        (name, Field(case, f"case {_one_line(name)}"))
        for name, case in zip(_names(found), found, strict=True)
    )


def read_evidence(name: str | int, case: Field) -> Evidence:
    """What a case says of its conveyor and of what was seen there; CaseFileError if it does not."""
    conveyor = read_conveyor(case.entry("conveyor"), str(name))
    return Evidence(
        conveyor=conveyor,
        sightings=read_sightings(case.entry("walk_down"), conveyor.loop),
        timed_looks=read_timed_looks(case.maybe("belt_watch"), conveyor.loop),
    )


def _parsed(content: bytes) -> Any:
    if not content.strip():
        raise CaseFileError("the file is empty; a JSON document with walk-down cases is read.")
    try:
        return json.loads(content.decode("utf-8-sig"), parse_constant=_refuse_constant)
    except CaseFileError:
        raise
    except UnicodeDecodeError as error:
        raise CaseFileError(f"the file is not UTF-8 text (byte {error.start}).") from error
    except json.JSONDecodeError as error:
        raise CaseFileError(
            f"the file is not JSON: {error.msg} at line {error.lineno}, column {error.colno}."
        ) from error
    except (ValueError, RecursionError) as error:
        # Numbers of thousands of digits and brackets nested without end.
        raise CaseFileError("the file is not a JSON document of walk-down cases.") from error


def _refuse_constant(word: str) -> NoReturn:
    raise CaseFileError(f"the file holds {word}; a number must be finite, or null.")


def _cases_of(document: Any) -> list[Any]:
    if isinstance(document, list):
        return document
    if isinstance(document, dict) and "cases" in document:
        if not isinstance(document["cases"], list):
            raise Field(document["cases"], "cases").refuse("an array of cases")
        return document["cases"]
    if isinstance(document, dict) and ("conveyor" in document or "walk_down" in document):
        return [document]
    raise CaseFileError(
        "the file must hold an object with `cases`, an array of cases, or one case with "
        "`conveyor` and `walk_down`."
    )


def _names(cases: list[Any]) -> list[str | int]:
    names: list[str | int] = []
    seen: dict[str, int] = {}
    for index, case in enumerate(cases):
        found = case.get("id") if isinstance(case, dict) else None
        if found is not None and (isinstance(found, bool) or not isinstance(found, str | int)):
            raise Field(found, f"case {index}: id").refuse("a text or a whole number")
        name: str | int = index if found is None else found
        if isinstance(name, str):
            name = Field(name, f"case {index}: id").text()
        if str(name) in seen:
            raise CaseFileError(
                f"case {index}: id: {_one_line(name)} is already the id of case {seen[str(name)]}."
            )
        seen[str(name)] = index
        names.append(name)
    return names


def _one_line(name: str | int) -> str:
    return (
        name.encode("unicode_escape").decode("ascii")[:80] if isinstance(name, str) else str(name)
    )
