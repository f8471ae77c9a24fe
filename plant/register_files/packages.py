"""Whether a workbook's package may be opened: what it unpacks to, and what hides in its sheets.

Everything here is asked of the zip's own list and of streams, before any of it is parsed.
"""

import re
import zipfile
import zlib
from io import BytesIO

from plant.register_files import limits
from plant.register_files.refusals import FileRefused

_OLD_OFFICE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MERGED = re.compile(
    rb'<(?:\w+:)?mergeCell[^>]{0,200}?\bref="([A-Z]{1,3}\d{1,7}:[A-Z]{1,3}(\d{1,7}))"'
)
_DOCTYPE = re.compile(rb"<!(?:DOCTYPE|ENTITY)", re.I)
_PIECE = 1 << 20
_OVERLAP = 300
# The reader asks these of a package before anything else.
_NEEDED = ("[Content_Types].xml", "xl/workbook.xml")


def is_package(content: bytes) -> bool:
    return content[:4] in {b"PK\x03\x04", b"PK\x05\x06"} or content.startswith(_OLD_OFFICE)


def unpacked_bytes(content: bytes) -> int:
    """What a file comes to when it is read: itself, or all that its package holds.

    Raises
    ------
    FileRefused
        It is a package that no register needs.
    """
    if not is_package(content):
        return len(content)
    return sum(part.file_size for part in open_package(content).infolist())


def open_package(content: bytes) -> zipfile.ZipFile:
    """The zip of a workbook; refuses what unpacks to more than any register needs."""
    if content.startswith(_OLD_OFFICE):
        raise FileRefused("old_or_locked_workbook")
    try:
        package = zipfile.ZipFile(BytesIO(content))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise FileRefused("broken_workbook") from None
    parts = package.infolist()
    if len(parts) > limits.MOST_PARTS:
        raise FileRefused("too_many_parts", most=limits.MOST_PARTS)
    # Python's zip reader gives no more of a part than its entry in this list says.
    unpacked = sum(part.file_size for part in parts)
    strings = sum(part.file_size for part in parts if "sharedstrings" in part.filename.lower())
    if unpacked > limits.LARGEST_UNPACKED_BYTES or strings > limits.LARGEST_STRINGS_BYTES:
        raise FileRefused("unpacks_too_large", most=limits.LARGEST_UNPACKED_BYTES // 1_000_000)
    names = {part.filename for part in parts}
    if any(part.flag_bits & 1 for part in parts):
        raise FileRefused("old_or_locked_workbook")
    if not all(name in names for name in _NEEDED):
        raise FileRefused("no_workbook")
    return package


def merged_cells(package: zipfile.ZipFile) -> dict[str, list[tuple[str, int]]]:
    """Of each part that is a sheet, its merged ranges with their last row.

    Raises
    ------
    FileRefused
        A part cannot be unpacked, or declares entities.
    """
    found: dict[str, list[tuple[str, int]]] = {}
    try:
        for part in package.infolist():
            if part.filename.endswith((".xml", ".rels")):
                found[part.filename] = _merged_of(package, part)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError):
        raise FileRefused("broken_workbook") from None
    return found


def _merged_of(package: zipfile.ZipFile, part: zipfile.ZipInfo) -> list[tuple[str, int]]:
    ranges: dict[str, int] = {}
    tail = b""
    with package.open(part) as stream:
        while piece := stream.read(_PIECE):
            seen = tail + piece
            if _DOCTYPE.search(seen):
                raise FileRefused("broken_workbook")
            for match in _MERGED.finditer(seen):
                ranges[match[1].decode()] = int(match[2])
                if len(ranges) > 1000:
                    break
            tail = seen[-_OVERLAP:]
    return list(ranges.items())
