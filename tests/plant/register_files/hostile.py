"""Files that are not what they say, made here so that nothing hostile is kept in the house."""

import io
import zipfile
from collections.abc import Callable, Iterable
from typing import Any

import openpyxl

CONVEYORS = ["Tag", "Name", "Belt speed", "Centre distance"]
COMPONENTS = ["Conveyor", "Name", "Kind", "Run", "Loop position", "Fitted"]


def workbook(
    rows: Iterable[list[Any]], *, title: str = "Sheet1", change: Callable[[Any], None] | None = None
) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(row)
    if change:
        change(sheet)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def with_part(content: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """The same package with one part changed."""
    kept = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for part in old.namelist():
            data = old.read(part)
            new.writestr(part, change(data) if part == name else data)
    return kept.getvalue()


def zip_of(parts: dict[str, bytes]) -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name, data)
    return kept.getvalue()


def plain_workbook() -> bytes:
    return workbook([CONVEYORS, ["CV-1", "One", 2, 100]])


SHEET = "xl/worksheets/sheet1.xml"


def bomb() -> bytes:
    """A sheet of 300 MB of blanks in some hundred kilobytes."""
    blanks = b" " * 1_000_000

    def swell(data: bytes) -> bytes:
        return data.replace(b"<sheetData>", b"<sheetData>" + blanks * 300)

    return with_part(plain_workbook(), SHEET, swell)


def entities() -> bytes:
    """The laugh that grows by every entity that names the one before."""
    laughs = b"".join(
        b'<!ENTITY l%d "%s">' % (n, b"&l%d;" % (n - 1) * 10 if n else b"ha") for n in range(12)
    )

    def declare(data: bytes) -> bytes:
        return b"<?xml version='1.0'?><!DOCTYPE w [" + laughs + b"]>" + data.split(b"?>", 1)[-1]

    return with_part(plain_workbook(), SHEET, declare)


def far_row() -> bytes:
    """One row that says it is the 99,999,999,999th."""
    return with_part(
        plain_workbook(), SHEET, lambda data: data.replace(b'r="2"', b'r="99999999999"')
    )


def lying_dimension() -> bytes:
    """A small sheet that claims to be the largest there is."""
    return with_part(
        plain_workbook(), SHEET, lambda data: data.replace(b'ref="A1:D2"', b'ref="A1:XFD1048576"')
    )


def million_rows() -> bytes:
    return b"Tag,Name,Belt speed,Centre distance\n" + b"CV-1,One,2,100\n" * 1_000_000


def wide() -> bytes:
    return (
        ",".join([*CONVEYORS, *(f"c{n}" for n in range(10_000))]).encode() + b"\nCV-1,One,2,100\n"
    )
