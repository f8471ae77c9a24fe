"""A bundle's text to plain values and the line of each: the safe part of YAML 1.2.

Only mappings, lists, texts, numbers, true, false and null. Tags, anchors, aliases, merged keys,
several documents and keys given twice are refused. Words without quotes are read by the core
schema of YAML 1.2 (revision 1.2.2, section 10.3.2): yes, no, on, off, dates, 1:30 and 0777 are
no truths, days, minutes or octals there. The events of the parser are walked here, so that nothing
of what YAML 1.1 makes of a word can come in.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml
from django.utils.translation import gettext as _

from diagnostics.bundles.faults import BundleRefused, Fault

# Ten times the installed knowledge, which is 180 kB; engineering judgement.
LARGEST_BYTES = 2_000_000
DEEPEST_NESTING = 12
MOST_VALUES = 200_000
# No figure of the knowledge needs more; what is longer, Python cannot always write out again.
_LONGEST_NUMBER = 400

Path = tuple[str | int, ...]
# The C parser is some ten times faster; the wheel for our platforms has it.
_Loader: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# Ends of lines to YAML 1.1, and so to the parser, but letters to YAML 1.2.
_ODD_LINE_ENDS = re.compile("[\x85\u2028\u2029]")
_WORDS = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_WHOLE = re.compile(r"[-+]?[0-9]+\Z")
_OTHER_BASE = re.compile(r"0(?:o[0-7]+|x[0-9a-fA-F]+)\Z")
_NUMBER = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")
_NOT_FINITE = re.compile(r"(?:[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))\Z")


@dataclass(frozen=True)
class Read:
    """`lines` has the line, counted from 1, of every value by its path from the top."""

    value: Any
    lines: dict[Path, int]

    def line_of(self, path: Path) -> int | None:
        """Of the value, or of the nearest one around it that is there."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path)


def read(content: bytes) -> Read:
    """Refuses with BundleRefused what is too large, no UTF-8, or outside the safe part."""
    text = _text_of(content)
    try:
        return _Reader(text).read()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        said = ", ".join(one for one in (error.context, error.problem) if one)
        raise _refused(
            _("this is no YAML: %(why)s") % {"why": said}, mark.line + 1 if mark else None
        ) from error
    except yaml.YAMLError as error:
        raise _refused(_("this is no YAML: %(why)s") % {"why": error}) from error


def plain_value(word: str) -> Any:
    """What a word without quotes means."""
    if word in _WORDS:
        return _WORDS[word]
    if _WHOLE.match(word):
        return int(_short(word))
    if _OTHER_BASE.match(word):
        return int(_short(word), 0)
    if _NUMBER.match(word):
        return float(word)
    return float(word.replace(".", "", 1)) if _NOT_FINITE.match(word) else word


def _short(digits: str) -> str:
    if len(digits) > _LONGEST_NUMBER:
        raise ValueError(f"a number of {len(digits)} digits is too long")
    return digits


def _text_of(content: bytes) -> str:
    if len(content) > LARGEST_BYTES:
        most = LARGEST_BYTES // 1_000_000
        raise _refused(_("the bundle is larger than %(most)d MB") % {"most": most})
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refused(_("the bundle must be UTF-8 text"), line) from error
    if odd := _ODD_LINE_ENDS.search(text):
        line = text.count("\n", 0, odd.start()) + 1
        said = _("a line is ended by U+%(code)04X; write it as an escape in double quotes")
        raise _refused(said % {"code": ord(odd.group())}, line)
    return text


def _refused(text: str, line: int | None = None) -> BundleRefused:
    return BundleRefused([Fault(text, line)])


class _Reader:
    def __init__(self, text: str) -> None:
        self._events: Iterator[Any] = yaml.parse(text, Loader=_Loader)
        self._lines: dict[Path, int] = {}

    def read(self) -> Read:
        next(self._events)
        start = next(self._events)
        if isinstance(start, yaml.StreamEndEvent):
            raise _refused(_("the bundle is empty"))
        if start.tags or start.version not in (None, (1, 2)):
            raise _refused(_("only the directive %YAML 1.2 may stand above a bundle"), 1)
        value = self._value(next(self._events), ())
        next(self._events)
        after = next(self._events)
        if not isinstance(after, yaml.StreamEndEvent):
            said = _("a second document begins; a bundle is one")
            raise _refused(said, after.start_mark.line + 1)
        return Read(value, self._lines)

    def _value(self, event: Any, path: Path) -> Any:
        line = event.start_mark.line + 1
        self._check(event, path, line)
        # A mapping or list has the line of its own name, which its first part would hide.
        self._lines.setdefault(path, line)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, line)
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(path)
        return self._list(path)

    def _check(self, event: Any, path: Path, line: int) -> None:
        if isinstance(event, yaml.AliasEvent) or event.anchor:
            said = _("anchors and aliases (&%(name)s, *%(name)s) are not read; write it out")
            raise _refused(said % {"name": event.anchor}, line)
        if event.tag is not None:
            said = _("tags (here %(tag)s) are not read; write the plain value")
            raise _refused(said % {"tag": event.tag}, line)
        if len(path) >= DEEPEST_NESTING:
            said = _("this is nested deeper than %(most)d levels")
            raise _refused(said % {"most": DEEPEST_NESTING}, line)
        if len(self._lines) >= MOST_VALUES:
            said = _("the bundle has more than %(most)d values")
            raise _refused(said % {"most": MOST_VALUES}, line)

    def _scalar(self, event: Any, line: int) -> Any:
        is_plain = event.implicit[0]
        try:
            return plain_value(event.value) if is_plain else event.value
        except ValueError as error:
            raise _refused(_("this number is too long"), line) from error

    def _mapping(self, path: Path) -> dict[str, Any]:
        found: dict[str, Any] = {}
        while not isinstance(event := next(self._events), yaml.MappingEndEvent):
            line = event.start_mark.line + 1
            self._check(event, path, line)
            key = self._scalar(event, line) if isinstance(event, yaml.ScalarEvent) else None
            if not isinstance(key, str):
                raise _refused(_("a name must be a word"), line)
            if key in found:
                raise _refused(_("%(name)s is given twice") % {"name": key}, line)
            self._lines[(*path, key)] = line
            found[key] = self._value(next(self._events), (*path, key))
        return found

    def _list(self, path: Path) -> list[Any]:
        found: list[Any] = []
        while not isinstance(event := next(self._events), yaml.SequenceEndEvent):
            found.append(self._value(event, (*path, len(found))))
        return found
