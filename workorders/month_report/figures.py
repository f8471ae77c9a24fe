"""All figures of one month's report as plain values that can be kept and read again; pure.

A report is worded and set from these alone, so that the same figures give the same sheet whenever
it is made. Days and instants are ISO 8601 text; None is what the data cannot say.
"""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any, TypeVar

from workorders.month_report.changes import Change

# Of the shape below; figures kept in another shape are not read.
FORMAT = 1
Row = TypeVar("Row")


class UnreadableFigures(ValueError):
    """They were kept in another shape."""


@dataclass(frozen=True)
class Asked:
    """Which month of which plant, read at `as_of`; a month that goes on is not whole."""

    plant_code: str
    plant_name: str
    time_zone: str
    month: str
    as_of: str
    is_whole: bool
    is_demo: bool = False


@dataclass(frozen=True)
class Counts:
    """Cases of mistracking: opened in the month and the one before, ended by a passed proof run,
    open at the month's end; `belts` are all that are in service."""

    belts: int
    opened: int
    repeats: int
    opened_before: int
    closed: int
    open_at_end: int


@dataclass(frozen=True)
class Lost:
    """Hours that somebody noted for the month's cases, and the costs of those on belts whose hour
    has a price; None where nobody noted any hours, or no such belt has a price."""

    hours: float | None
    unsaid_cases: int
    costs: float | None
    hours_without_price: float


@dataclass(frozen=True)
class Compared:
    """Every belt and family with cases, the last months against those before; `plant` is the month
    alone. `basis` is a word of `plant.metering.basis`; so many cases lie in time of which the
    exposure is not known, and are left out. `record_begins` is a day, where it lies within what is
    compared."""

    plant: Change
    belts: tuple[Change, ...]
    families: tuple[Change, ...]
    basis: str
    left_out: int = 0
    record_begins: str = ""


@dataclass(frozen=True)
class Mend:
    """One proved order; `days` it held, or holds so far, until the end of what is reported."""

    order: str
    title: str
    tag: str
    case: str
    family: str
    days: float
    back_case: str = ""


@dataclass(frozen=True)
class Mends:
    """`proved` in the month; `held` through the plant's window in the month; `came_back` in it."""

    window_days: int
    proved: tuple[Mend, ...]
    held: tuple[Mend, ...]
    came_back: tuple[Mend, ...]


@dataclass(frozen=True)
class Worst:
    """A belt to look at. `rate` with its limits at 90 % is drawn toward the plant's usual one, in
    what its basis tells rates in; `trend` is 1 worse, -1 better, 0 none beyond chance. `step` and
    `why` are what is suggested next, in words.
    """

    tag: str
    name: str
    cases: int
    repeats: int
    lost_hours: float
    unsaid_cases: int
    rate: float | None = None
    lower: float | None = None
    upper: float | None = None
    trend: int = 0
    step: str = ""
    why: str = ""


@dataclass(frozen=True)
class Ranking:
    """The belts with most lost hours, then most cases, of the plant's usual period up to the
    month's end, or to the day of the report while the month goes on.

    `until` is empty while nothing was reckoned.
    """

    belts: tuple[Worst, ...] = ()
    first: str = ""
    until: str = ""
    basis: str = ""


@dataclass(frozen=True)
class ToDoRow:
    """An order that wants somebody: `kind` says why, `since` since which day."""

    order: str
    title: str
    tag: str
    kind: str
    urgency: str
    since: str = ""
    why: str = ""


@dataclass(frozen=True)
class ToDo:
    """How much stands open when the report is made, and the most pressing of it."""

    overdue: int
    not_begun: int
    waiting_parts: int
    waiting_outage: int
    waiting_people: int
    proofs: int
    undecided: int
    rows: tuple[ToDoRow, ...]


@dataclass(frozen=True)
class Gaps:
    """What weakens the figures: of how many cases or belts something is not known."""

    cases: int
    cause_unknown: int
    lost_unsaid: int
    belts: int
    belts_unmetered: int


@dataclass(frozen=True)
class MonthCount:
    month: str
    cases: int
    repeats: int


@dataclass(frozen=True)
class Figures:
    asked: Asked
    counts: Counts
    lost: Lost
    compared: Compared
    mends: Mends
    ranking: Ranking
    to_do: ToDo
    gaps: Gaps
    course: tuple[MonthCount, ...]

    def as_json(self) -> dict[str, Any]:
        return {"format": FORMAT, **asdict(self)}


def read(kept: dict[str, Any]) -> Figures:
    """What `as_json` wrote; raises UnreadableFigures for another shape."""
    if kept.get("format") != FORMAT:
        raise UnreadableFigures(f"format {kept.get('format')!r} is not {FORMAT}")
    try:
        return _read(kept)
    except (KeyError, TypeError) as error:
        raise UnreadableFigures(str(error)) from error


def _read(kept: dict[str, Any]) -> Figures:
    compared, mends, to_do = kept["compared"], kept["mends"], kept["to_do"]
    ranking = kept["ranking"]
    return Figures(
        asked=Asked(**kept["asked"]),
        counts=Counts(**kept["counts"]),
        lost=Lost(**kept["lost"]),
        compared=Compared(
            **{
                **compared,
                "plant": Change(**compared["plant"]),
                "belts": _rows(Change, compared["belts"]),
                "families": _rows(Change, compared["families"]),
            }
        ),
        mends=Mends(
            **{**mends, **{one: _rows(Mend, mends[one]) for one in ("proved", "held", "came_back")}}
        ),
        ranking=Ranking(**{**ranking, "belts": _rows(Worst, ranking["belts"])}),
        to_do=ToDo(**{**to_do, "rows": _rows(ToDoRow, to_do["rows"])}),
        gaps=Gaps(**kept["gaps"]),
        course=_rows(MonthCount, kept["course"]),
    )


def _rows(kind: Callable[..., Row], kept: list[dict[str, Any]]) -> tuple[Row, ...]:
    return tuple(kind(**one) for one in kept)
