"""What was mended, what held, what came back within the month."""

from datetime import timedelta

from workorders.models import WorkOrder
from workorders.month_report.figures import Mend, Mends
from workorders.selectors.fix_lives import FixLife, fix_lives
from workorders.selectors.month_report.span import Span


def mends_of(span: Span, tags: dict[int, str]) -> Mends:
    """Two queries. A mend held when the plant's window ran out in the month without a return."""
    orders = WorkOrder.objects.filter(conveyor__plant=span.plant)
    lives = [life for life in fix_lives(orders, span.end) if life.proved_at < span.end]
    window = timedelta(days=span.plant.recurrence_window_days)
    proved = [one for one in lives if one.proved_at >= span.first]
    held = [one for one in lives if _held_through(one, window, span)]
    came_back = [one for one in lives if one.back_at and span.first <= one.back_at < span.end]
    named = {one.order_number for one in (*proved, *held, *came_back)}
    titles = dict(orders.filter(number__in=named).values_list("number", "title"))

    def told(lives: list[FixLife]) -> tuple[Mend, ...]:
        return tuple(_told(one, titles, tags, span) for one in lives)

    return Mends(
        window_days=span.plant.recurrence_window_days,
        proved=told(sorted(proved, key=lambda one: one.proved_at, reverse=True)),
        held=told(held),
        came_back=told(sorted(came_back, key=lambda one: one.days)),
    )


def _held_through(life: FixLife, window: timedelta, span: Span) -> bool:
    through = life.proved_at + window
    if not span.first <= through < span.end:
        return False
    return life.back_at is None or life.back_at > through


def _told(life: FixLife, titles: dict[str, str], tags: dict[int, str], span: Span) -> Mend:
    # What came back only after the report's end still held at its end.
    is_back = life.back_at is not None and life.back_at < span.end
    until = life.back_at if is_back and life.back_at else span.end
    return Mend(
        order=life.order_number,
        title=titles.get(life.order_number, ""),
        tag=tags.get(life.conveyor_id, ""),
        case=life.case_number,
        family=life.cause_class,
        days=round((until - life.proved_at).total_seconds() / 86_400, 2),
        back_case=life.back_number if is_back else "",
    )
