"""The belts to look at first, as the plant's usual reckoning of recurring faults ranks them."""

from diagnostics import offender_rows, step_words
from diagnostics.knowledge_entries import Library
from diagnostics.models import BeltFaults
from diagnostics.selectors import offenders, shelf
from plant.models import Plant
from workorders.month_report.figures import Ranking, Worst

MOST = 5


def ranking_of(plant: Plant) -> Ranking:
    """As it stands now, whichever month is reported; a fixed number of queries."""
    reckonings = offenders.usual_reckonings([plant])
    if not reckonings:
        return Ranking()
    [standing] = reckonings
    library = shelf.library_of(plant.pk)
    return Ranking(
        belts=tuple(_worst(belt, library) for belt in offenders.worst_of_each([standing], MOST)),
        first=standing.first_on.isoformat(),
        until=standing.last_on.isoformat(),
        basis=standing.basis,
    )


def _worst(belt: BeltFaults, library: Library) -> Worst:
    first, *_others = offender_rows.suggestions_of(belt, library)
    return Worst(
        tag=belt.conveyor.tag,
        name=belt.conveyor.name,
        cases=belt.events,
        repeats=belt.repeats,
        lost_hours=belt.lost_hours,
        unsaid_cases=belt.lost_hours_unsaid,
        rate=belt.shrunk,
        lower=belt.lower,
        upper=belt.upper,
        trend=belt.trend,
        step=step_words.step_words(first, library.work_methods),
        why=step_words.reason_words(first, library.work_methods),
    )
