"""Why a calendar, or one event of it, cannot be used."""

from dataclasses import dataclass
from enum import StrEnum


class CalendarFault(StrEnum):
    TOO_LARGE = "too large"
    NOT_UTF_8 = "not utf-8"
    NOT_A_CALENDAR = "not a calendar"
    NOT_ENDED = "not ended"
    NO_EVENTS = "no events"
    TOO_MANY_EVENTS = "too many events"
    TOO_MANY_WINDOWS = "too many windows"
    LINE_UNREADABLE = "line unreadable"
    NO_UID = "no uid"
    UID_TOO_LONG = "uid too long"
    NO_START = "no start"
    NO_END = "no end"
    ENDS_TOO_SOON = "ends too soon"
    LASTS_TOO_LONG = "lasts too long"
    DATE_WRONG = "date wrong"
    DURATION_WRONG = "duration wrong"
    ZONE_UNKNOWN = "zone unknown"
    ZONE_WRONG = "zone wrong"
    RULE_WRONG = "rule wrong"
    RULE_TWICE = "rule twice"
    COUNTS_TOO_FAR = "counts too far"
    THIS_AND_FUTURE = "this and future"
    NO_CONVEYOR = "no conveyor"


@dataclass(frozen=True)
class Refused:
    """`line` counts from 1; `detail` is what was written, `rule_fault` why a rule is none."""

    fault: CalendarFault
    line: int | None = None
    detail: str = ""
    name: str = ""
    uid: str = ""
    rule_fault: str = ""


class CalendarRefused(ValueError):
    """The file as a whole is of no use."""

    def __init__(self, refused: Refused) -> None:
        self.refused = refused
        super().__init__(f"{refused.fault}: {refused.detail}")


class EventRefused(ValueError):
    """One event of the file is of no use."""

    def __init__(
        self, fault: CalendarFault, line: int, detail: str = "", rule_fault: str = ""
    ) -> None:
        self.fault, self.line, self.detail, self.rule_fault = fault, line, detail[:80], rule_fault
        super().__init__(f"{fault}: {self.detail}")
