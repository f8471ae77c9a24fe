"""Why a meter says nothing of a time."""

from enum import StrEnum


class Unknown(StrEnum):
    """Why there is no figure."""

    NO_READINGS = "no_readings"
    BEFORE_FIRST = "before_first"
    AFTER_LAST = "after_last"
    NOT_READ = "not_read"
