"""The belts to look at first, as the plant's usual reckoning of recurring faults ranks them."""

from diagnostics import offender_rows, step_words
from diagnostics.fault_choice import FaultChoice, span_days
from diagnostics.knowledge_entries import Library
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.selectors import offenders, shelf, usual_exposure
from workorders.month_report.figures import Ranking, Worst
from workorders.selectors.month_report.span import Span

MOST = 5


def choice_of(span: Span) -> FaultChoice | None:
    """What ranks the belts: the usual period up to the month's end, so that a report that is made
    late says what one in time would have said of the cases; None while the month goes on.
    """
    if not span.is_whole:
        return None
    days = span_days(FaultReckoning.Span.USUAL, span.month.last)
    return FaultChoice(usual_exposure.usual_of(span.plant, span.now), "", "", *days)


def reckoning_of(span: Span) -> FaultReckoning | None:
    """That of the choice, whether reckoned or not; None where there is none."""
    choice = choice_of(span)
    rows = FaultReckoning.objects.filter(plant=span.plant)
    if choice is None:
        return rows.filter(is_usual=True).first()
    first, last = choice.days(span.month.last)
    return rows.filter(
        family="", basis=choice.basis.value, span="", first_on=first, last_on=last
    ).first()


def ranking_of(span: Span) -> Ranking:
    """As reckoned for the month's end, else as it stands now: the days say which.

    A fixed number of queries.
    """
    standing = reckoning_of(span)
    if standing is None or standing.reckoned_at is None:
        standing = next(iter(offenders.usual_reckonings([span.plant])), None)
    if standing is None:
        return Ranking()
    library = shelf.library_of(span.plant.pk)
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
