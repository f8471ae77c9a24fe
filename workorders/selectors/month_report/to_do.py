"""What stands open when the report is made: overdue, waiting, to be proved, to be decided."""

from collections.abc import Iterator
from datetime import date, datetime

from django.db.models import Count, Q

from workorders.attention import AttentionKind
from workorders.models import WorkOrder
from workorders.month_report.figures import ToDo, ToDoRow
from workorders.order_states import OrderState, Waiting
from workorders.selectors.attention import Wanting, wanting_attention
from workorders.selectors.month_report.span import Span

# A page of the report has room for so many; the pages of work have all.
MOST_ROWS = 12
# What a manager can move comes first.
_ORDER = (
    AttentionKind.OVERDUE,
    AttentionKind.PROOF,
    AttentionKind.PARTS,
    AttentionKind.NOT_BEGUN,
)


def to_do_of(span: Span) -> ToDo:
    """Two queries however many orders there are."""
    wanting = wanting_attention(span.plant, span.now)
    orders = WorkOrder.objects.open().filter(conveyor__plant=span.plant)
    counted = orders.aggregate(
        outage=Count("pk", filter=Q(waiting_for=Waiting.OUTAGE.value)),
        people=Count("pk", filter=Q(waiting_for=Waiting.PEOPLE.value)),
        undecided=Count("pk", filter=Q(state=OrderState.PROPOSED.value)),
    )
    how_many = {kind: len(wanting.get(kind, ())) for kind in AttentionKind}
    return ToDo(
        overdue=how_many[AttentionKind.OVERDUE],
        not_begun=how_many[AttentionKind.NOT_BEGUN],
        waiting_parts=how_many[AttentionKind.PARTS],
        waiting_outage=counted["outage"],
        waiting_people=counted["people"],
        proofs=how_many[AttentionKind.PROOF],
        undecided=counted["undecided"],
        rows=tuple(_rows(wanting, span)),
    )


def _rows(wanting: dict[AttentionKind, list[Wanting]], span: Span) -> Iterator[ToDoRow]:
    """Each order once, for what is most pressing about it."""
    told: set[int] = set()
    for kind in _ORDER:
        for one in wanting.get(kind, ()):
            if one.order.pk in told or len(told) >= MOST_ROWS:
                continue
            told.add(one.order.pk)
            yield ToDoRow(
                order=one.order.number,
                title=one.order.title,
                tag=one.order.conveyor.tag,
                kind=kind.value,
                urgency=one.order.urgency,
                since=_day(one.attention.since, span),
                why=one.order.waiting_why if kind is AttentionKind.PARTS else "",
            )


def _day(since: date | datetime | None, span: Span) -> str:
    if isinstance(since, datetime):
        return span.plant.day_of(since).isoformat()
    return since.isoformat() if since else ""
