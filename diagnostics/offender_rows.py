"""A row of the repeat offenders: figures, course, the mend that did not hold, next steps."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import fault_words, fixes, step_links, step_words
from diagnostics.fault_columns import COLUMNS, Column
from diagnostics.fault_words import Figure
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.knowledge_entries import Library
from diagnostics.models import BeltFaults, Case, FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail
from diagnostics.recurrence.next_steps import Suggestion, Trouble, next_steps
from diagnostics.selectors import offenders
from diagnostics.selectors.offenders import OpenEnds
from diagnostics.sparkline import Sparkline, sparkline
from diagnostics.step_links import Link
from plant.models import Conveyor
from plant.roles import Permission

# Families of many like parts along the belt; of all others a belt has one, or few unlike ones.
MANY_PARTS = frozenset(
    one.value
    for one in (
        CauseClass.CARRYING,
        CauseClass.RETURN_IDLER,
        CauseClass.BEND_PULLEY,
        CauseClass.BELT_SPLICE,
    )
)
May = Callable[[Permission], bool]


@dataclass(frozen=True)
class StepShown:
    words: str
    why: str
    links: tuple[Link, ...]


@dataclass(frozen=True)
class MendShown:
    """`address` is empty where nothing is known of the order any more."""

    order: str
    title: str
    address: str
    case: str
    earlier: str
    days_held: int | None


@dataclass(frozen=True)
class Cell:
    """A figure in its column; `key` is its own on the page."""

    column: Column
    figure: Figure
    key: str

    @property
    def spoken(self) -> str:
        told = {"heading": self.column.heading, "figure": self.figure.shown}
        return _("%(heading)s: %(figure)s. How this comes about") % told


@dataclass(frozen=True)
class Row:
    """`place` counts from 1 in the order that was asked for; `address` shows the same figures."""

    place: int
    conveyor: Conveyor
    address: str
    cells: tuple[Cell, ...]
    course: Sparkline
    mend: MendShown | None
    step: StepShown
    more_steps: tuple[StepShown, ...]

    @property
    def summary(self) -> str:
        """`6 cases, 14.5 h lost`; lost hours nobody has said are left out."""
        shown = {cell.column.slug: cell.figure for cell in self.cells}
        cases = ngettext("%(n)s case", "%(n)s cases", int(shown["cases"].shown))
        words = cases % {"n": shown["cases"].shown}
        if not shown["lost"].is_known:
            return words
        return _("%(cases)s, %(hours)s lost") % {"cases": words, "hours": shown["lost"].shown}


def rows_of(
    belts: list[BeltFaults],
    reckoning: FaultReckoning,
    library: Library,
    may: May,
    *,
    first: int = 1,
) -> list[Row]:
    """What is shown of belts in their order; a fixed number of queries."""
    details = [BeltDetail.of_json(belt.detail) for belt in belts]
    ends = offenders.open_ends([belt.conveyor_id for belt in belts])
    mends = _mends(details)
    return [
        _row(first + number, belt, reckoning, library, ends, mends, may)
        for number, belt in enumerate(belts)
    ]


def suggestions_of(belt: BeltFaults, library: Library) -> tuple[Suggestion, ...]:
    """What to do about a belt, the most telling first."""
    detail = BeltDetail.of_json(belt.detail)
    return next_steps(_trouble(belt, detail), methods_of(belt.leading_family, library))


def methods_of(family: str, library: Library) -> tuple[str, ...]:
    """Work methods for the causes of a family, the commonest cause first."""
    causes = [
        cause for cause in library.knowledge.causes.values() if cause.cause_class.value == family
    ]
    causes.sort(key=lambda cause: -cause.weight)
    return tuple(dict.fromkeys(cause.work_method for cause in causes))


def _trouble(belt: BeltFaults, detail: BeltDetail) -> Trouble:
    failed = {mend.method: mend.came_back for mend in detail.mends if mend.came_back}
    last = detail.last_failed
    return Trouble(
        cases=belt.events,
        families=dict(detail.families),
        many=MANY_PARTS,
        mended=belt.leading_family,
        failed=failed,
        last_failed=last.method if last else "",
        is_same_place=last.is_same_place if last and last.method in failed else None,
        trend=belt.trend,
        hours_unsaid=belt.lost_hours_unsaid,
    )


def _row(
    place: int,
    belt: BeltFaults,
    reckoning: FaultReckoning,
    library: Library,
    ends: OpenEnds,
    mends: dict[str, str],
    may: May,
) -> Row:
    detail = BeltDetail.of_json(belt.detail)
    mend, address = _mend(detail, mends), step_links.faults_address(belt.conveyor, reckoning)
    steps = tuple(
        StepShown(
            step_words.step_words(one, library.work_methods),
            step_words.reason_words(one, library.work_methods),
            tuple(
                link
                for link in step_links.links_of(
                    one, belt, detail, ends, mend.address if mend else "", address
                )
                if may(link.needs)
            ),
        )
        for one in suggestions_of(belt, library)
    )
    figures = fault_words.figures_of(belt, reckoning)
    return Row(
        place,
        belt.conveyor,
        address,
        tuple(Cell(one, figures[one.slug], f"{one.slug}-{belt.pk}") for one in COLUMNS),
        sparkline(belt.course),
        mend,
        steps[0],
        steps[1:],
    )


def _mend(detail: BeltDetail, addresses: dict[str, str]) -> MendShown | None:
    failed = detail.last_failed
    if failed is None:
        return None
    return MendShown(
        failed.order,
        failed.title,
        addresses.get(failed.order, ""),
        failed.case,
        failed.earlier,
        failed.days_held,
    )


def _mends(details: Iterable[BeltDetail]) -> dict[str, str]:
    """Where each failed mend is read about, by the number of its order."""
    numbers = {one.last_failed.earlier for one in details if one.last_failed}
    case_ids = list(Case.objects.filter(number__in=numbers).values_list("pk", flat=True))
    return {fix.number: fix.address for own in fixes.fixes_of(case_ids).values() for fix in own}
