"""What to do next about a belt that keeps coming back, and why; pure.

All of it is common practice of maintenance, with no source; the limits are engineering judgement,
to be calibrated. A suggestion decides nothing: a person does.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

# One case says nothing about what most cases of a belt have in common.
_FEWEST_CASES = 2
# A mend that failed once may have been done badly; twice, and it is the wrong one.
_SAME_MEND_FAILED = 2
_DIFFERENT_MENDS_FAILED = 2
# So many families with none of them leading: the belt line itself is asked about.
_FAMILIES_IN_TURN = 3
_LEADING_SHARE = 0.5
# Below this share of known lost hours a ranking by them is a ranking of who writes them down.
_KNOWN_HOURS_SHARE = 0.5


class Step(StrEnum):
    OTHER_MEND = "another mend"
    REVIEW = "engineering review"
    INSPECT_KIND = "inspect all of the kind"
    FIND_CAUSE = "find the cause"
    CHECK_MEND = "check the last mend"
    NOTE_HOURS = "note the lost hours"
    KEEP_WATCH = "keep watch"


class Reason(StrEnum):
    SAME_MEND_FAILED = "the same mend failed again"
    NO_MEND_LEFT = "every mend of the catalogue was tried"
    SAME_PLACE = "the same place after different mends"
    OTHER_PLACES = "other places after different mends"
    DIFFERENT_MENDS = "different mends failed"
    CAUSES_IN_TURN = "several causes in turn"
    CAUSES_UNKNOWN = "most causes unknown"
    RISING = "rising with one cause"
    RISING_PART = "rising with one cause that has one place"
    FAILED_ONCE = "one mend failed"
    HOURS_UNSAID = "lost hours unsaid"
    NOTHING = "nothing stands out"


@dataclass(frozen=True)
class Trouble:
    """One belt in one period.

    Attributes
    ----------
    cases : int
        From 0.
    families : mapping
        Cases of each cause family; the key "" counts those whose cause is not known.
    many : set of str
        Families of many like parts, which wear out together.
    mended : str
        The family that the mends below were for.
    failed : mapping
        How often each work method did not hold, by its slug; "" is work without one, which is
        like no other work.
    last_failed : str
        The method that did not hold last.
    is_same_place : bool or None
        Whether the fault came back where it had been; None where a place is unknown.
    trend : int
        1 worse, -1 better, 0 none that would not be chance.
    hours_unsaid : int
        Cases whose lost hours nobody has said.
    """

    cases: int
    families: Mapping[str, int] = field(default_factory=dict)
    many: frozenset[str] = frozenset()
    mended: str = ""
    failed: Mapping[str, int] = field(default_factory=dict)
    last_failed: str = ""
    is_same_place: bool | None = None
    trend: int = 0
    hours_unsaid: int = 0

    @property
    def unknown(self) -> int:
        return self.families.get("", 0)

    @property
    def known(self) -> Mapping[str, int]:
        return {family: count for family, count in self.families.items() if family and count}

    @property
    def leader(self) -> str:
        """The family of at least half of the cases with a known cause; "" without one."""
        known = self.known
        if not known:
            return ""
        first = max(known, key=lambda family: (known[family], family))
        return first if known[first] >= _LEADING_SHARE * sum(known.values()) else ""


@dataclass(frozen=True)
class Suggestion:
    """A step and why; `count` of `of` are the figures of the reason.

    `method` is the mend that failed again, `instead` one of the catalogue that was not tried;
    both slugs, "" where the reason names none.
    """

    step: Step
    reason: Reason
    count: int = 0
    of: int = 0
    family: str = ""
    method: str = ""
    instead: str = ""


def next_steps(trouble: Trouble, methods: Sequence[str] = ()) -> tuple[Suggestion, ...]:
    """What to do about a belt, the most telling first.

    Parameters
    ----------
    trouble : Trouble
    methods : sequence of str
        Slugs of the catalogue's work methods for the leading family, the likeliest first.

    Returns
    -------
    tuple of Suggestion
        Never empty: where nothing stands out, to keep watch.

    Raises
    ------
    ValueError
        A count is below 0, or more cases are counted by family than there are.

    Notes
    -----
    A mend that failed speaks louder than a trend, since it is about this belt alone; a trend
    without a known cause can only ask for the cause.
    """
    _check(trouble)
    found = (
        *_of_mends(trouble, methods),
        *_of_causes(trouble),
        *_of_trend(trouble),
        *_of_record(trouble),
    )
    return found or (Suggestion(Step.KEEP_WATCH, Reason.NOTHING, trouble.cases),)


def _of_mends(trouble: Trouble, methods: Sequence[str]) -> Iterator[Suggestion]:
    named = {method: times for method, times in trouble.failed.items() if method and times}
    if len(named) >= _DIFFERENT_MENDS_FAILED:
        yield _after_different_mends(trouble, len(named))
    elif named and max(named.values()) >= _SAME_MEND_FAILED:
        [(method, count)] = named.items()
        yield _after_same_mend(trouble.mended, method, count, methods)
    elif any(trouble.failed.values()):
        yield Suggestion(
            Step.CHECK_MEND,
            Reason.FAILED_ONCE,
            sum(trouble.failed.values()),
            family=trouble.mended,
            method=trouble.last_failed,
        )


def _after_different_mends(trouble: Trouble, different: int) -> Suggestion:
    match trouble.is_same_place:
        case True:
            step, reason = Step.REVIEW, Reason.SAME_PLACE
        case False if trouble.mended in trouble.many:
            step, reason = Step.INSPECT_KIND, Reason.OTHER_PLACES
        case _:
            step, reason = Step.REVIEW, Reason.DIFFERENT_MENDS
    return Suggestion(step, reason, different, family=trouble.mended)


def _after_same_mend(family: str, method: str, count: int, methods: Sequence[str]) -> Suggestion:
    instead = next((one for one in methods if one != method), "")
    if instead:
        return Suggestion(
            Step.OTHER_MEND,
            Reason.SAME_MEND_FAILED,
            count,
            family=family,
            method=method,
            instead=instead,
        )
    return Suggestion(Step.REVIEW, Reason.NO_MEND_LEFT, count, family=family, method=method)


def _of_causes(trouble: Trouble) -> Iterator[Suggestion]:
    if trouble.cases >= _FEWEST_CASES and trouble.unknown * 2 > trouble.cases:
        yield Suggestion(Step.FIND_CAUSE, Reason.CAUSES_UNKNOWN, trouble.unknown, of=trouble.cases)
    if len(trouble.known) >= _FAMILIES_IN_TURN and not trouble.leader:
        yield Suggestion(
            Step.REVIEW,
            Reason.CAUSES_IN_TURN,
            len(trouble.known),
            of=sum(trouble.known.values()),
        )


def _of_trend(trouble: Trouble) -> Iterator[Suggestion]:
    leader = trouble.leader
    if trouble.trend > 0 and leader and trouble.known[leader] >= _FEWEST_CASES:
        step, reason = Step.REVIEW, Reason.RISING_PART
        if leader in trouble.many:
            step, reason = Step.INSPECT_KIND, Reason.RISING
        count = trouble.known[leader]
        yield Suggestion(step, reason, count, of=trouble.cases, family=leader)


def _of_record(trouble: Trouble) -> Iterator[Suggestion]:
    if trouble.cases and trouble.hours_unsaid > (1 - _KNOWN_HOURS_SHARE) * trouble.cases:
        yield Suggestion(
            Step.NOTE_HOURS, Reason.HOURS_UNSAID, trouble.hours_unsaid, of=trouble.cases
        )


def _check(trouble: Trouble) -> None:
    counts = (*trouble.families.values(), *trouble.failed.values())
    if min((trouble.cases, trouble.hours_unsaid, *counts)) < 0:
        raise ValueError("counts of cases and mends must be from 0")
    if sum(trouble.families.values()) > trouble.cases:
        raise ValueError(
            f"cases by family must be at most the cases, got {sum(trouble.families.values())} "
            f"of {trouble.cases}"
        )
