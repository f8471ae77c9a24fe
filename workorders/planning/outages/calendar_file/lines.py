"""The lines of a calendar and the components they make (RFC 5545, 3.1 and 3.6)."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from workorders.planning.outages.calendar_file.faults import (
    CalendarFault,
    CalendarRefused,
    Refused,
)

# A plant's calendar of years has some hundred kB; engineering judgement.
LARGEST_BYTES = 2_000_000
_DEEPEST = 4
_LINE = re.compile(
    r"(?P<name>[A-Za-z0-9-]{1,60})"
    r'(?P<params>(?:;[A-Za-z0-9-]{1,60}=(?:"[^"]*"|[^";:]*))*)'
    r":(?P<value>.*)\Z",
    re.DOTALL,
)
_PARAM = re.compile(r';([A-Za-z0-9-]+)=("[^"]*"|[^";:]*)')
_ESCAPED = re.compile(r"\\([nN\\,;])")


@dataclass(frozen=True)
class Line:
    """One property; `at` is the line of the file it begins on."""

    name: str
    value: str
    params: Mapping[str, str]
    at: int

    @property
    def text(self) -> str:
        """A TEXT value (3.3.11) without its escapes."""
        return _ESCAPED.sub(lambda one: "\n" if one[1] in "nN" else one[1], self.value)

    @property
    def texts(self) -> list[str]:
        """Several TEXT values with commas between, as CATEGORIES has them."""
        return [
            _ESCAPED.sub(lambda one: "\n" if one[1] in "nN" else one[1], part)
            for part in re.split(r"(?<!\\),", self.value)
        ]


@dataclass
class Component:
    """`unreadable` are lines that are no property."""

    name: str
    at: int
    lines: list[Line] = field(default_factory=list)
    parts: list["Component"] = field(default_factory=list)
    unreadable: list[tuple[int, str]] = field(default_factory=list)

    def first(self, name: str) -> Line | None:
        return next((one for one in self.lines if one.name == name), None)

    def all(self, name: str) -> list[Line]:
        return [one for one in self.lines if one.name == name]


def components_of(content: bytes) -> list[Component]:
    """The calendars of a file with all their components.

    Raises
    ------
    CalendarRefused
        If it is too large, no UTF-8, no calendar, or ends in the middle of one.
    """
    calendars: list[Component] = []
    stack: list[Component] = []
    for at, text in _unfolded(_text_of(content)):
        found = _LINE.match(text)
        if found is None:
            if not stack:
                raise _refused(CalendarFault.NOT_A_CALENDAR, at, text)
            stack[-1].unreadable.append((at, text[:80]))
            continue
        _put(Line(found["name"].upper(), found["value"], _params(found["params"]), at),
             stack, calendars)  # fmt: skip
    if stack:
        raise _refused(CalendarFault.NOT_ENDED, stack[-1].at, f"BEGIN:{stack[-1].name}")
    if not calendars:
        raise _refused(CalendarFault.NOT_A_CALENDAR, 1)
    return calendars


def _put(line: Line, stack: list[Component], calendars: list[Component]) -> None:
    kind = line.value.strip().upper()[:60]
    if line.name == "BEGIN":
        if not stack and kind != "VCALENDAR":
            raise _refused(CalendarFault.NOT_A_CALENDAR, line.at, f"BEGIN:{kind}")
        if len(stack) >= _DEEPEST:
            raise _refused(CalendarFault.NOT_A_CALENDAR, line.at, f"BEGIN:{kind}")
        made = Component(kind, line.at)
        (stack[-1].parts if stack else calendars).append(made)
        stack.append(made)
    elif not stack:
        raise _refused(CalendarFault.NOT_A_CALENDAR, line.at, f"{line.name}:{line.value}")
    elif line.name == "END":
        if stack.pop().name != kind:
            raise _refused(CalendarFault.NOT_ENDED, line.at, f"END:{kind}")
    else:
        stack[-1].lines.append(line)


def _unfolded(text: str) -> Iterator[tuple[int, str]]:
    """Long lines are folded: what begins with a blank goes on with the line before."""
    begun, parts = 1, list[str]()
    for at, line in enumerate(re.split("\r\n|\n|\r", text), start=1):
        if line[:1] in {" ", "\t"} and parts:
            parts.append(line[1:])
            continue
        if parts:
            yield begun, "".join(parts)
        begun, parts = at, [line] if line.strip() else []
    if parts:
        yield begun, "".join(parts)


def _params(text: str) -> dict[str, str]:
    return {one[1].upper(): one[2].strip('"') for one in _PARAM.finditer(text)}


def _text_of(content: bytes) -> str:
    if len(content) > LARGEST_BYTES:
        raise _refused(CalendarFault.TOO_LARGE, None, str(LARGEST_BYTES // 1_000_000))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refused(CalendarFault.NOT_UTF_8, line) from error
    if "\x00" in text:
        raise _refused(CalendarFault.NOT_A_CALENDAR, text.count("\n", 0, text.index("\x00")) + 1)
    return text


def _refused(fault: CalendarFault, line: int | None, detail: str = "") -> CalendarRefused:
    return CalendarRefused(Refused(fault, line, detail[:80]))
