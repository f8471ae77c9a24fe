"""Sheets on paper: a template of ours and plain values, set as PDF.

What people typed goes in as JSON and is set as text; nothing of it is read as markup. The fonts are
those that come with the typesetter, and the instant is handed in, so that the same values give the
same bytes on every machine. Setting starts threads: set no sheet before a process forks.
"""

import json
import logging
import re
import unicodedata
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

import typst
from django.utils.translation import gettext as _

logger = logging.getLogger(__name__)

# Accessible to readers of the blind, and refused when a sign has no picture in the fonts.
_STANDARD = "ua-1"
_NOT_IN_FONTS = re.compile(r'the text `"(.*?)"` could not be displayed')
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")
_NAMED_AT_MOST = 12
# Of pictures: half a sheet of paper in width on most screens, and codes stay readable.
_SCREEN_PPI = 110
# Signs that no paper shows, and that no drawing may hold.
_UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")


class TypesettingFailed(Exception):
    """The sheet could not be set; a fault of ours, never of what was typed."""


def pdf_of(sheet: Path, values: dict[str, Any], made_at: datetime) -> bytes:
    """Set a template of ours with values of plain JSON; raises TypesettingFailed.

    Signs that the fonts do not have are printed as boxes and named in `unprintable`, which the
    template shows.
    """
    _check_folder(sheet.parent)
    filled = {"unprintable": "", **_printable(values)}
    try:
        return _compiled(sheet, filled, made_at, [_STANDARD])
    except typst.TypstError as error:
        missing = _missing_signs(error)
        if not missing:
            logger.warning("%s is set without marks for readers: %s", sheet.name, error.message)
    if missing:
        filled["unprintable"] = _boxes_words(missing)
    try:
        return _compiled(sheet, filled, made_at, [])
    except typst.TypstError as error:
        raise TypesettingFailed(error.diagnostic) from error


def first_page_png(sheet: Path, values: dict[str, Any], made_at: datetime) -> bytes:
    """A picture of the first page, to be looked at before printing; raises TypesettingFailed."""
    _check_folder(sheet.parent)
    filled = {"unprintable": "", **_printable(values)}
    try:
        return _compiled(sheet, filled, made_at, [], "png")
    except typst.TypstError as error:
        raise TypesettingFailed(error.diagnostic) from error


def _compiled(
    sheet: Path, values: dict[str, Any], made_at: datetime, standards: Any, kind: Any = "pdf"
) -> bytes:
    try:
        made = typst.compile(
            str(sheet),
            root=str(sheet.parent),
            format=kind,
            ppi=_SCREEN_PPI,
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(values, ensure_ascii=False)},
            pdf_standards=standards,
            timestamp=int(made_at.timestamp()),
        )
    except BaseException as error:
        # A panic inside the typesetter comes as no Exception and would end the process.
        if type(error).__name__ != "PanicException":
            raise
        raise TypesettingFailed(str(error)) from error
    # Pictures come one a page.
    first = made[0] if isinstance(made, list) else made
    assert isinstance(first, bytes)
    return first


def _check_folder(folder: Path) -> None:
    """A link in the folder would be followed out of it."""
    links = [path for path in (folder, *folder.rglob("*")) if path.is_symlink()]
    if links:
        raise TypesettingFailed(f"{links[0]} is a link; the folder of sheets holds files only.")


def _printable(value: Any) -> Any:
    if isinstance(value, str):
        return _UNSEEN.sub("", value.replace("\r\n", "\n"))
    if isinstance(value, dict):
        return {key: _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    return value


def _missing_signs(error: typst.TypstError) -> list[str]:
    """What the fonts could not show, each sign once, in the order of the sheet."""
    texts = _NOT_IN_FONTS.findall(f"{error.message}\n{error.diagnostic}")
    spelled = (_ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) for text in texts)
    return list(dict.fromkeys(sign for text in spelled for sign in text))


def _boxes_words(signs: Iterable[str]) -> str:
    """Names in place of the signs themselves, which the sheet cannot show."""
    named = [unicodedata.name(sign, f"U+{ord(sign):04X}").lower() for sign in signs]
    told = "; ".join(named[:_NAMED_AT_MOST]) + ("; …" if len(named) > _NAMED_AT_MOST else "")
    return _("Signs that this sheet can only print as boxes: %(names)s.") % {"names": told}
