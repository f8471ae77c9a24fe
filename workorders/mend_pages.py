"""The page of mends: groups with their figures, the drawing, who is still watched."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from diagnostics.recurrence.holding import GroupHolding, Holding, holding_of
from plant.chart_view import NARROW_PX, ChartView
from plant.metering.basis import Basis
from plant.models import Plant
from workorders import mend_charts, mend_words
from workorders.mend_charts import LETTERS, MOST_DRAWN
from workorders.selectors.mend_lives import GroupedBy, Mends

# A season, and the usual recurrence window. [d]
MARKS = (90.0, 180.0)
LEVEL = 0.90
_MOST_AT_RISK = 7
_STEP_DAYS = 30
_MOST_WATCHED = 12
_WIDE = 560


@dataclass(frozen=True)
class Figure:
    """`reason` says why there is a dash."""

    words: str
    limits: str = ""
    reason: str = ""


@dataclass(frozen=True)
class GroupRow:
    """`still` at each of the marks; `expected` returns if all groups were alike."""

    group: str
    words: str
    letter: str
    holding: GroupHolding
    failed_on_proof: int
    still: list[Figure]
    median: Figure
    expected: float


class MendPage:
    """The mends of a period as page, chart and files show them."""

    def __init__(self, mends: Mends, by: GroupedBy, family: str, plants: Sequence[Plant]) -> None:
        self.mends, self.by, self.family = mends, by, family
        self.name = mend_words.group_words(by, plants)
        self.window_days = max((one.recurrence_window_days for one in plants), default=180)

    @cached_property
    def at_risk_days(self) -> list[float]:
        step = _STEP_DAYS
        while self.window_days / step > _MOST_AT_RISK - 1:
            step += _STEP_DAYS
        return [float(day) for day in range(0, self.window_days + 1, step)]

    @cached_property
    def found(self) -> Holding:
        compared = self.mends.to_compare(self.by)
        return holding_of(compared, marks=MARKS, at_risk_marks=self.at_risk_days, level=LEVEL)

    @cached_property
    def rows(self) -> list[GroupRow]:
        test = self.found.log_rank
        expected = dict(zip(test.groups, test.expected.tolist(), strict=True))
        return [
            self._row(place, one, expected[one.group])
            for place, one in enumerate(self.found.groups)
        ]

    def _row(self, place: int, one: GroupHolding, expected: float) -> GroupRow:
        group = str(one.group)
        return GroupRow(
            group=group,
            words=self.name(group),
            letter=LETTERS[place] if place < MOST_DRAWN else "",
            holding=one,
            failed_on_proof=self.mends.failed_on_proof[group],
            still=[self._still(one, place) for place in range(len(MARKS))],
            median=_median(one),
            expected=expected,
        )

    def _still(self, one: GroupHolding, place: int) -> Figure:
        found = one.still[place]
        if found is None:
            why = mend_words.why_no_share(one, MARKS[place], self.mends.basis)
            return Figure("–", reason=why)
        return Figure(mend_words.share(found.value), mend_words.limits(found, mend_words.share))

    @cached_property
    def judged(self) -> list[GroupRow]:
        return [row for row in self.rows if not row.holding.is_small]

    @cached_property
    def small(self) -> list[GroupRow]:
        """Shown apart: many of one or two mends would bury the others."""
        return [row for row in self.rows if row.holding.is_small]

    @property
    def unit(self) -> str:
        return mend_words.unit(self.mends.basis)

    @property
    def day_headings(self) -> list[str]:
        return [mend_words.day_heading(day, self.mends.basis) for day in self.at_risk_days]

    @property
    def watched(self) -> list[GroupRow]:
        return (self.judged or self.rows)[:_MOST_WATCHED]

    def only_failed(self) -> list[tuple[str, int]]:
        """Groups of which every mend failed its proof, with how many did."""
        shown = {row.group for row in self.rows}
        failed = self.mends.failed_on_proof.items()
        return [(self.name(group), count) for group, count in failed if group not in shown]

    def sentences(self) -> dict[str, str | list[str]]:
        best, basis = self.found.best, self.mends.basis
        return {
            "best": mend_words.best_words(best, self.name, self.family, basis) if best else "",
            "basis": mend_words.basis_words(self.mends),
            "log_rank": mend_words.log_rank_words(self.found.log_rank),
            "small": mend_words.small_words(len(self.small)),
        }

    def chart(self, file_address: str) -> ChartView:
        is_run = self.mends.basis is Basis.RUNNING
        across = _("running days since the proof") if is_run else _("days since the proof passed")
        up = _("share that still holds")
        names = [f"{row.letter} {row.words}" for row in self.rows[:MOST_DRAWN]]
        wide, narrow = (
            mend_charts.stairs(
                self.found.groups,
                float(self.window_days),
                names=names,
                across=across,
                up=up,
                group=_("group"),
                width=width,
            )
            for width in (_WIDE, NARROW_PX - 70)
        )
        return ChartView(
            slug="course",
            heading=_("Share of mends that still hold"),
            spec=wide,
            narrow_spec=narrow,
            header=course_header(self.mends.basis),
            rows=self._course_rows(),
            caption=_(
                "Each stair is a group, the letter at its end that of its row above. It falls "
                "where a fault came back (Kaplan-Meier). The four largest groups are drawn; with "
                "one or two the thin lines are limits at 90 %."
            ),
            file_address=file_address,
        )

    def _course_rows(self) -> list[list[str | int | float | None]]:
        """The steps of the groups that are drawn, as words."""
        return [
            [
                f"{row.letter} {row.words}",
                mend_words.days(float(course.time[step])),
                int(course.at_risk[step]),
                int(course.failed[step]),
                mend_words.share(float(course.survival[step])),
                mend_words.share(known(course.lower[step])),
                mend_words.share(known(course.upper[step])),
            ]
            for row in self.rows[:MOST_DRAWN]
            for course in [row.holding.course]
            for step in range(len(course.time))
        ]


def course_header(basis: Basis) -> list[str]:
    return [
        _("Group"),
        _("Running day") if basis is Basis.RUNNING else _("Day"),
        _("Watched"),
        _("Came back"),
        _("Still hold"),
        _("Lower limit"),
        _("Upper limit"),
    ]


def known(figure: float) -> float | None:
    return None if figure != figure else float(figure)


def _median(one: GroupHolding) -> Figure:
    found = one.median
    if found is None:
        return Figure("–", reason=mend_words.why_no_median())
    return Figure(mend_words.days(found.value), mend_words.limits(found, mend_words.days))
