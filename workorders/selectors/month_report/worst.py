"""The belts to look at first."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from plant.models import Conveyor
from workorders.month_report.figures import Worst
from workorders.selectors.month_report.cases import CaseRow

MOST = 5


def worst_of(rows: Sequence[CaseRow], belts: Mapping[int, Conveyor]) -> tuple[Worst, ...]:
    """Those with most lost hours, then most cases; of those still in service; no query."""
    found = sorted(
        _counted(rows, belts), key=lambda one: (-(one.lost_hours or 0), -one.cases, one.tag)
    )
    return tuple(found[:MOST])


def _counted(rows: Sequence[CaseRow], belts: Mapping[int, Conveyor]) -> Iterator[Worst]:
    by_belt: dict[int, list[CaseRow]] = defaultdict(list)
    for row in rows:
        by_belt[row.conveyor_id].append(row)
    for pk, own in by_belt.items():
        belt = belts.get(pk)
        if belt is None:
            continue
        said = [row.lost_hours for row in own if row.lost_hours is not None]
        families = Counter(row.family for row in own if row.family)
        yield Worst(
            tag=belt.tag,
            name=belt.name,
            cases=len(own),
            repeats=sum(row.is_repeat for row in own),
            lost_hours=sum(said) if said else None,
            unsaid_cases=len(own) - len(said),
            family=families.most_common(1)[0][0] if families else "",
        )
