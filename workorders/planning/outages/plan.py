"""What a plan is made of: windows, crews, jobs, and where each job is placed.

An isolation is what is locked once for all jobs that share it in one window: the conveyor, unless a
job names another point. A job that needs no isolation may be done while the belt runs; it has a
crew's shift and no window.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, order=True)
class Span:
    """From minute `starts` up to, not including, minute `ends`; [min since 1970-01-01 UTC]."""

    starts: int
    ends: int

    def __post_init__(self) -> None:
        if not self.starts < self.ends:
            raise ValueError(f"a span ends after it starts, got {self.starts!r} to {self.ends!r}")

    @property
    def minutes(self) -> int:
        return self.ends - self.starts

    def covers(self, other: "Span") -> bool:
        return self.starts <= other.starts and other.ends <= self.ends

    def shared_with(self, other: "Span") -> "Span | None":
        """The stretch that belongs to both; None when there is none."""
        starts, ends = max(self.starts, other.starts), min(self.ends, other.ends)
        return Span(starts, ends) if starts < ends else None


@dataclass(frozen=True)
class Window:
    key: str
    span: Span
    conveyors: frozenset[str]


@dataclass(frozen=True)
class Absence:
    span: Span
    people: int


@dataclass(frozen=True)
class Crew:
    """`shifts` do not overlap; after each, `overtime_minutes` may be asked for."""

    key: str
    people: int
    skills: frozenset[str]
    shifts: tuple[Span, ...]
    absences: tuple[Absence, ...] = ()
    overtime_minutes: int = 0


@dataclass(frozen=True)
class Placement:
    """`window` is None for work that needs none."""

    job: str
    window: str | None
    crew: str
    span: Span


@dataclass(frozen=True)
class Job:
    """One order, as the planning sees it.

    Attributes
    ----------
    key, conveyor : str
    minutes : int
        Elapsed, > 0. [min]
    people : int
        At a time, >= 1.
    skills : frozenset of str
        All must be in the crew.
    weight : int
        What being late or left out counts, > 0; from the urgency.
    isolation : str or None
        What is locked for it, by default the conveyor; None: the belt may run.
    earliest, latest : int or None
        Not begun before, ended by. [min since 1970-01-01 UTC]
    parts_on : int or None
        When the last of its parts is there; None: they are there. [min since 1970-01-01 UTC]
    parts_missing : str
        Not empty: these parts are neither here nor due, and it cannot be placed.
    after : frozenset of str
        Jobs that must have ended before it begins; those not in the plan hold nothing up.
    held : str
        Not empty: why it must not be placed (it waits for people, for an outage).
    placed : Placement or None
        Where it stands now.
    is_pinned : bool
        It stays where it stands.
    """

    key: str
    conveyor: str
    minutes: int
    people: int = 1
    skills: frozenset[str] = frozenset()
    weight: int = 1
    isolation: str | None = None
    earliest: int | None = None
    latest: int | None = None
    parts_on: int | None = None
    parts_missing: str = ""
    after: frozenset[str] = frozenset()
    held: str = ""
    placed: Placement | None = None
    is_pinned: bool = False

    @property
    def needs_window(self) -> bool:
        return self.isolation is not None


@dataclass(frozen=True)
class Plan:
    """`jobs` by key with all that may be placed, and where they are placed now or by proposal."""

    windows: Mapping[str, Window]
    crews: Mapping[str, Crew]
    jobs: Mapping[str, Job]
    placements: Mapping[str, Placement] = field(default_factory=dict)
