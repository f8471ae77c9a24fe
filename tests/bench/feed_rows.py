"""Work orders and their changes by the million, made by the database itself."""

from datetime import datetime, timedelta

from django.db import connection
from django.utils import timezone

from plant.models import Conveyor, FeedArrival, Plant
from plant.services import feed_weeks
from tests.plant import factories as register
from tests.workorders import factories
from workorders.models import WorkOrder

# Of so many changes, one is of the small plant.
SMALL_SHARE = 40
KEPT_DAYS = 88
# Of one numbering, as the worker does it under load.
TOGETHER = 500


def make_orders(conveyor: Conveyor, count: int) -> None:
    """Copies of one order, written without triggers."""
    first = factories.make_order_by_hand(conveyor)
    WorkOrder.objects.filter(pk=first.pk).update(cause="return_idler_skewed", component="R88")
    columns = [field.column for field in WorkOrder._meta.local_fields if field.column != "id"]
    made = ", ".join("'LT-W-' || 100000 + n" if one == "number" else one for one in columns)
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        cursor.execute(
            f"INSERT INTO workorders_workorder ({', '.join(columns)}) "
            f"SELECT {made} FROM workorders_workorder, generate_series(1, %s) AS n WHERE id = %s",
            [count - 1, first.pk],
        )
        cursor.execute("SET session_replication_role = origin")


def make_changes(plant: Plant, orders: int, count: int) -> Plant:
    """Changes of the orders through the weeks that are kept; returns the small plant."""
    small = register.make_plant()
    record = FeedArrival.objects.filter(of="work_order").latest("pk").record
    before, after = record.split(f'"{WorkOrder.objects.earliest("pk").number}"', 1)
    ends = timezone.now()
    begins = ends - timedelta(days=KEPT_DAYS)
    for day in range(0, KEPT_DAYS + 1):
        feed_weeks.ensure_week(begins + timedelta(days=day))
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO plant_feedchange (number, numbered_at, plant_id, feed, of, row_id, key, "
            "kind, at, who, by_key, record) SELECT n, at, CASE WHEN n %% %s = 0 THEN %s ELSE %s "
            "END, 'work_orders', 'work_order', row, key, 'changed', at, 'Ines Halloway', '', "
            "%s || '\"' || key || '\"' || %s FROM (SELECT n, n %% %s AS row, "
            "'LT-W-' || 100000 + n %% %s AS key, "
            "%s::timestamptz + (%s::interval * (n / %s)) AS at FROM generate_series(1, %s) AS n)",
            [
                *(SMALL_SHARE, small.pk, plant.pk, before, after, orders, orders),
                *(begins, (ends - begins) / (count / TOGETHER), TOGETHER, count),
            ],
        )
        _stand_at(count, ends)
    return small


def _stand_at(number: int, at: datetime) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM plant_feedarrival")
        cursor.execute("DELETE FROM plant_feedposition")
        cursor.execute("INSERT INTO plant_feedposition VALUES (1, %s, %s, 0)", [number, at])
        cursor.execute("VACUUM ANALYZE plant_feedchange")
        cursor.execute("ANALYZE workorders_workorder")
