"""What the pages of a trial show: both versions side by side, and what a person makes of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics.class_words import class_words
from diagnostics.hit_rate_pages import LEAST_CASES
from diagnostics.inference.evaluation.balance import by_chance
from diagnostics.inference.evaluation.rates import Rate
from diagnostics.inference.evaluation.verdicts import Scores
from diagnostics.models import KnowledgeTrial, TriedCase

REFUSAL_WORDS: dict[str, str | Promise] = {
    "no_draft": gettext_lazy(
        "It was published or discarded before the trial was begun; only a draft can be tried."
    ),
    "unreadable": gettext_lazy(
        "The draft, or what is in force, was written for another state of this program. Change or "
        "drop what the page of the draft complains about, then try it again."
    ),
    "failed": gettext_lazy("Something went wrong, and it is written in the log. Try it again."),
    "begun_too_often": gettext_lazy(
        "It was begun several times and the worker ended each time before it was done. Ask whoever "
        "keeps the site to look at the worker, then try it again."
    ),
}


@dataclass(frozen=True)
class BothRates:
    """One row: what was to be named, and how often each version did."""

    words: str
    before: Rate
    after: Rate


@dataclass(frozen=True)
class Balance:
    """How many cases became right and wrong; `chance` is how often chance alone tips it so far."""

    gained: int
    lost: int

    @property
    def chance(self) -> float:
        return by_chance(self.gained, self.lost)

    @property
    def is_even(self) -> bool:
        return self.gained == self.lost == 0


@dataclass(frozen=True)
class Outcome:
    """Of one trial that was done; both scores are None where there was no case."""

    cases: int
    left_out: int
    before: Scores | None
    after: Scores | None
    first: Balance
    among: Balance

    @property
    def is_few(self) -> bool:
        return self.cases < LEAST_CASES

    @property
    def least(self) -> int:
        return LEAST_CASES

    @property
    def rates(self) -> list[BothRates]:
        old, new = self.before, self.after
        if old is None or new is None:
            return []
        return [
            BothRates(_("the right family first"), old.classes.first, new.classes.first),
            BothRates(
                _("the right family among the first three"), old.classes.among, new.classes.among
            ),
            BothRates(_("the right cause first"), old.causes.first, new.causes.first),
            BothRates(
                _("the right cause among the first three"), old.causes.among, new.causes.among
            ),
        ]


def outcome_of(one: KnowledgeTrial) -> Outcome | None:
    """None of a trial that is not done."""
    if not one.is_tried:
        return None
    kept = one.result
    before, after = (
        Scores.from_json(kept[name]) if kept[name] else None for name in ("before", "after")
    )
    return Outcome(
        cases=one.cases_done,
        left_out=kept["left_out"],
        before=before,
        after=after,
        first=Balance(**kept["first"]),
        among=Balance(**kept["among"]),
    )


@dataclass(frozen=True)
class Suggested:
    """A class that was named, with its probability; `is_right` where it is the true one."""

    words: str | Promise
    share: float
    is_right: bool


@dataclass(frozen=True)
class CaseShown:
    """One case that flips, or could not be tried."""

    row: TriedCase
    truth: list[str]
    before: list[Suggested]
    after: list[Suggested]

    @property
    def is_left_out(self) -> bool:
        return self.row.outcome == TriedCase.Outcome.LEFT_OUT

    @property
    def is_worse(self) -> bool:
        return self.row.outcome in {TriedCase.Outcome.LOST_FIRST, TriedCase.Outcome.LOST_AMONG}


def case_shown(row: TriedCase, names: Mapping[str, str]) -> CaseShown:
    truth = row.told.get("truth") or [row.case.cause]
    return CaseShown(
        row=row,
        truth=[names.get(slug, slug) for slug in truth],
        before=_suggested(row.told.get("before")),
        after=_suggested(row.told.get("after")),
    )


def _suggested(told: Mapping[str, Any] | None) -> list[Suggested]:
    if told is None:
        return []
    return [
        Suggested(class_words(name), share, place == told["rank"])
        for place, (name, share) in enumerate(told["classes"], start=1)
    ]


def case_rows(rows: list[CaseShown]) -> list[list[Any]]:
    """The cases as a file, header first."""
    header = [_("case"), _("conveyor"), _("what became of it"), _("accepted cause")]
    header += [_("in force then"), _("with the draft")]
    return [
        header,
        *(
            [
                one.row.case.number,
                one.row.case.conveyor.tag,
                one.row.get_outcome_display(),
                "; ".join(one.truth),
                _in_words(one.before),
                _in_words(one.after),
            ]
            for one in rows
        ),
    ]


def _in_words(named: list[Suggested]) -> str:
    return "; ".join(f"{one.words} {one.share:.3f}" for one in named)
