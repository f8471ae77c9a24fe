"""The walk-down app as a phone keeps it: its page, its files, the mark of their version.

Modules name each other by relative addresses, so the app's files are used under their plain
names; what a phone keeps is replaced as a whole when the mark changes.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.templatetags.static import PrefixNode
from django.utils.translation import get_language

from diagnostics.pocket_timed_words import TIMED_WORDS
from diagnostics.pocket_words import pocket_words
from plant.words import Words

_MODULES = "diagnostics/pocket"
_OTHERS = (
    "plant/sheet.css",
    "diagnostics/pocket.css",
    "diagnostics/pocket_timed.css",
    "plant/mark.svg",
)


@dataclass(frozen=True)
class Shell:
    """`files` are addresses; `version` changes with any of them or with the page."""

    page: str
    files: tuple[str, ...]
    version: str


def shell() -> Shell:
    """The app in the reader's language."""
    return shell_of(get_language() or "en")


@lru_cache
def shell_of(language: str) -> Shell:
    names = _names()
    prefix = PrefixNode.handle_simple("STATIC_URL")
    files = tuple(f"{prefix}{name}" for name in names)
    page = render_to_string(
        "diagnostics/pocket/shell.html",
        {
            "prefix": prefix,
            "modules": [one for one in files if one.endswith(".js")],
            "sheets": [one for one in files if one.endswith(".css")],
            "words": _said(pocket_words()),
            "timed_words": _said(TIMED_WORDS),
            "LANGUAGE_CODE": language,
        },
    )
    mark = hashlib.sha256(page.encode())
    for name in names:
        mark.update(name.encode() + _content(name))
    return Shell(page, files, mark.hexdigest()[:12])


def _said(words: Mapping[str, Words]) -> dict[str, str]:
    return {name: str(text) for name, text in words.items()}


def _names() -> list[str]:
    """Every module, as it lies in the folder: a new one cannot be forgotten."""
    folder = Path(__file__).parent / "static" / _MODULES
    modules = sorted(one.relative_to(folder).as_posix() for one in folder.rglob("*.js"))
    return [*_OTHERS, *(f"{_MODULES}/{one}" for one in modules)]


def _content(name: str) -> bytes:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)
    return Path(found).read_bytes()
