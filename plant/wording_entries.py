"""An entry of a wording as it is handed round: which word, and what the system has for it."""

from typing import NamedTuple


class Entry(NamedTuple):
    """Which word; see WordingEntry."""

    part: str
    conveyor_id: int | None
    key: str


class Value(NamedTuple):
    """Preferred: meant when it comes in and stands for several."""

    text: str
    is_preferred: bool = False
