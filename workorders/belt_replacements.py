"""On a belt's page of recurring faults: what was made new, and how long the parts had lived.

Lives here are whole ones, whatever the period; what was made new in the period is counted apart.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.recurrence.holding import Estimate, median_of
from diagnostics.recurrence.survival import kaplan_meier
from diagnostics.selectors.belt_faults import BeltStudy
from plant.chart_view import Cell, ChartView
from workorders import belt_life_chart, mend_words
from workorders.belt_life_chart import LifeMark, LifeRow
from workorders.life_subjects import subject_words
from workorders.planning.part_lives import PartLife
from workorders.selectors.lives import Group, PlantLives

_ROWS = 14
_LEVEL = 0.90


@dataclass(frozen=True)
class GroupLives:
    """`ended` and `running` hold lives with how many of each there were. [d]"""

    group: Group
    ended: Sequence[tuple[float, bool, int]]
    running: Sequence[tuple[float, int]]
    new_in_period: int

    @property
    def ended_parts(self) -> int:
        return sum(count for _age, _failed, count in self.ended)

    @property
    def oldest(self) -> float | None:
        return max((age for age, _count in self.running), default=None)

    @property
    def median(self) -> Estimate | None:
        """When half have failed, those that have not yet included (Kaplan-Meier). [d]"""
        if not self.ended:
            return None
        lives = [*self.ended, *((age, False, count) for age, count in self.running)]
        ages, failed, counts = zip(*lives, strict=True)
        return median_of(kaplan_meier(ages, failed, level=_LEVEL, count=counts))

    @property
    def words(self) -> str:
        name = f": {self.group.component.name}" if self.group.component else ""
        return f"{subject_words(self.group.subject)}{name}"


def build(study: BeltStudy) -> BuiltPart:
    heading = _("What was replaced, and how long it had lived")
    lives = PlantLives(study.conveyor.plant, study.now, only=study.conveyor)
    today = study.now.astimezone(lives.zone).date()
    found = [_lives_of(group, study, today) for group in lives.groups]
    with_ends = [one for one in found if one.ended or one.new_in_period]
    address = reverse("lives-of-conveyor", args=[study.conveyor.plant.code, study.conveyor.tag])
    if not with_ends:
        return BuiltPart(heading, header=_header(), missing=_nothing())
    most_first = sorted(with_ends, key=lambda one: (-one.new_in_period, -one.ended_parts))
    drawn = [_chart_row(one) for one in most_first[:_ROWS]]
    chart = ChartView(
        slug="replacements",
        heading=heading,
        lead=_lead(with_ends),
        spec=belt_life_chart.spec_of(drawn),
        narrow_spec=belt_life_chart.spec_of(drawn, is_narrow=True),
        header=_header(),
        rows=[_row(one) for one in with_ends],
        caption=_(
            "Square: replaced because it had failed or met its limit. Ring: replaced as a "
            "precaution. Triangle beneath: still there. The number counts parts of that age. Rows "
            "without a replacement are left out."
        ),
        file_address=study.file_address("replacements"),
    )
    return BuiltPart(
        heading,
        chart=chart,
        notes=_not_drawn(with_ends),
        template="workorders/lives/beneath.html",
        context={"address": address},
    )


def _nothing() -> str:
    return _(
        "Nothing on this belt is known to have been replaced. Roll changes are noted on the belt's "
        "page, renewals where wear is read."
    )


def _lives_of(group: Group, study: BeltStudy, today: date) -> GroupLives:
    counts = group.lives.counts.items()
    first, last = study.period.first, study.last_on
    return GroupLives(
        group,
        ended=[(_days(life, today), life.failed, count) for life, count in counts if life.ended],
        running=[
            (age, count)
            for life, count in counts
            if life.ended is None and (age := _days(life, today)) > 0
        ],
        new_in_period=sum(
            count for life, count in counts if life.ended and first <= life.ended <= last
        ),
    )


def _days(life: PartLife, today: date) -> float:
    return float(((life.ended or today) - life.began).days)


def _lead(found: Sequence[GroupLives]) -> str:
    new = sum(one.new_in_period for one in found)
    told = ngettext(
        "%(new)s part was replaced in the period.",
        "%(new)s parts were replaced in the period.",
        new,
    ) % {"new": new}
    failed = sum(count for one in found for _age, failed, count in one.ended if failed)
    ended = sum(one.ended_parts for one in found)
    all_told = _("Of all %(ended)s that are known to have been replaced, %(failed)s had failed.")
    return f"{told} {all_told % {'ended': ended, 'failed': failed}}"


def _not_drawn(found: Sequence[GroupLives]) -> list[str]:
    if len(found) <= _ROWS:
        return []
    told = _("The %(shown)s groups with most replacements are drawn; the table has all %(all)s.")
    return [told % {"shown": _ROWS, "all": len(found)}]


def _chart_row(one: GroupLives) -> LifeRow:
    return LifeRow(one.words, tuple(_marks(one)))


def _marks(one: GroupLives) -> Iterator[LifeMark]:
    for age, failed, count in one.ended:
        yield LifeMark(age, "failed" if failed else "precaution", count)
    for age, count in one.running:
        yield LifeMark(age, "running", count)


def _header() -> list[str]:
    return [
        _("what"),
        _("parts"),
        _("replaced in the period"),
        _("replaced in all"),
        _("of these failed"),
        _("half have failed by (days)"),
        _("90 % limits"),
        _("shortest life (days)"),
        _("longest life (days)"),
        _("oldest there (days)"),
    ]


def _row(one: GroupLives) -> list[Cell]:
    ages = [age for age, _failed, _count in one.ended]
    median = one.median
    return [
        one.words,
        one.group.parts,
        one.new_in_period,
        one.ended_parts,
        sum(count for _age, failed, count in one.ended if failed),
        None if median is None else round(median.value),
        mend_words.limits(median, mend_words.days) or None,
        _whole(min(ages, default=None)),
        _whole(max(ages, default=None)),
        _whole(one.oldest),
    ]


def _whole(figure: float | None) -> int | None:
    return None if figure is None else round(figure)
