"""What came of a try, and what follows from it."""

from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from enum import StrEnum

from plant.webhooks import addresses

# A few hops are a receiver that was moved; more are a circle.
MOST_MOVES = 3
# Only these keep a POST what it is (RFC 9110, 15.4.8 and 15.4.9).
_MOVES = frozenset({307, 308})
_ASKS_FOR_PATIENCE = frozenset({429, 503})
GONE = 410


class Fault(StrEnum):
    """Why there was no answer, or none that counts."""

    NONE = ""
    BAD_ADDRESS = "bad_address"
    NO_SUCH_NAME = "no_such_name"
    NOT_ALLOWED = "not_allowed"
    NO_CONNECTION = "no_connection"
    NOT_TRUSTED = "not_trusted"
    TOO_SLOW = "too_slow"
    BROKEN_OFF = "broken_off"
    MOVED = "moved"
    TOO_MANY_MOVES = "too_many_moves"
    MOVED_WITHOUT_TLS = "moved_without_tls"
    SECRET_UNREADABLE = "secret_unreadable"  # noqa: S105  # nosec: says what failed
    CHANGE_NOT_KEPT = "change_not_kept"
    NEVER_ENDED = "never_ended"
    WORDS_MISSING = "words_missing"


@dataclass(frozen=True)
class Answer:
    """`said` is the beginning of what the receiver wrote."""

    status: int | None = None
    fault: Fault = Fault.NONE
    said: str = ""
    asked_s: float | None = None

    @property
    def is_taken(self) -> bool:
        return self.fault is Fault.NONE and self.status is not None and 200 <= self.status < 300

    @property
    def is_gone(self) -> bool:
        return self.status == GONE and self.fault is Fault.NONE

    @property
    def is_about_the_target(self) -> bool:
        """Not about this one delivery: the next would fare no better at the moment."""
        if self.is_taken:
            return False
        return self.status is None or self.status >= 500 or self.status == 429

    @property
    def needs_a_person(self) -> bool:
        """Trying again by itself cannot help."""
        return self.fault in {Fault.CHANGE_NOT_KEPT, Fault.NEVER_ENDED, Fault.WORDS_MISSING}


def is_move(status: int) -> bool:
    return status in _MOVES


def is_other_redirect(status: int) -> bool:
    return 300 <= status < 400 and status not in _MOVES


def asked_s(status: int, retry_after: str, now: datetime) -> float | None:
    """What Retry-After says, in seconds; None without one or with one nobody can read."""
    if status not in _ASKS_FOR_PATIENCE or not retry_after:
        return None
    if retry_after.isascii() and retry_after.isdigit():
        return float(retry_after[:9])
    try:
        at = parsedate_to_datetime(retry_after)
    except (ValueError, OverflowError):
        return None
    # A date without a zone (-0000) is UTC.
    return max(0.0, (at.replace(tzinfo=at.tzinfo or UTC) - now).total_seconds())


def fault_of(objection: addresses.Objection) -> Fault:
    if objection is addresses.Objection.DOWNGRADE:
        return Fault.MOVED_WITHOUT_TLS
    return Fault.BAD_ADDRESS
