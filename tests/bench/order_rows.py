"""A plant's years of work orders in the database: many belts, most of the work long done."""

from datetime import datetime, timedelta

from django.db import connection

from plant.models import Conveyor, Plant
from tests.plant import factories as register
from tests.workorders import factories
from workorders.models import WorkOrder

# A prime number, so that no belt has orders of one kind only.
BELTS, YEARS = 199, 10
# Of so many orders, one is of the small plant; and one has a word that is rare.
SMALL_SHARE, RARE_SHARE = 10_000, 5_000
_SPAN = timedelta(days=365 * YEARS)
# What differs from order to order, by the number of the order; 0 is the newest.
_MADE = {
    "number": "'LT-W-' || 10000000 + n",
    "conveyor_id": "CASE WHEN n %% %(small_share)s = 0 THEN %(small)s "
    "ELSE (%(belts)s::bigint[])[1 + n %% %(many)s] END",
    # The newest thousandth is open; older ones have ended, a few of them otherwise than proved.
    "state": "CASE WHEN n < %(count)s / 1000 THEN "
    "(ARRAY['proposed', 'approved', 'scheduled', 'in hand', 'done'])[1 + n %% 5] "
    "WHEN n %% 50 = 1 THEN 'cancelled' WHEN n %% 50 = 2 THEN 'declined' ELSE 'proved' END",
    "urgency": "CASE WHEN n %% %(rare)s = 7 THEN 'stop now' WHEN n %% 3 = 0 THEN 'watch' "
    "ELSE 'next outage' END",
    "cause": "CASE WHEN n %% %(rare)s = 11 THEN 'belt_bowed' WHEN n %% 4 = 0 THEN '' "
    "ELSE 'return_idler_skewed' END",
    "zone": "CASE WHEN n %% %(rare)s = 13 THEN 'take-up' ELSE 'head' END",
    "waiting_for": "CASE WHEN n %% %(rare)s = 17 THEN 'parts' ELSE '' END",
    "waiting_why": "CASE WHEN n %% %(rare)s = 17 THEN 'on its way' ELSE '' END",
    "external_number": "'70-' || n",
    "planned_for": "%(now)s",
    "raised_at": "%(now)s - %(span)s * (n::float / %(count)s)",
    # Each was last touched a month after it was raised, and never later than now.
    "changed_at": "least(%(now)s, %(now)s - %(span)s * (n::float / %(count)s) + '30 days')",
}


def make_history(plant: Plant, count: int, now: datetime) -> Plant:
    """So many orders, written without triggers; returns a small plant with a few of them."""
    belts = [register.make_conveyor(plant, tag=f"Q{number}") for number in range(BELTS)]
    small = register.make_plant()
    of_small = register.make_conveyor(small, tag="S1")
    first = factories.make_order_by_hand(belts[0])
    _copy(first.pk, count, now, belts, of_small)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE workorders_workorder")
        cursor.execute("ANALYZE plant_conveyor")
    return small


def _copy(first: int, count: int, now: datetime, belts: list[Conveyor], small: Conveyor) -> None:
    columns = [field.column for field in WorkOrder._meta.local_fields if field.column != "id"]
    made = ", ".join(_MADE.get(one, one) for one in columns)
    figures = {
        "first": first,
        "count": count,
        "now": now,
        "span": _SPAN,
        "small": small.pk,
        "small_share": SMALL_SHARE,
        "rare": RARE_SHARE,
        "belts": [one.pk for one in belts],
        "many": len(belts),
    }
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        # The oldest is written first, as it would have been.
        cursor.execute(
            f"INSERT INTO workorders_workorder ({', '.join(columns)}) SELECT {made} "
            "FROM workorders_workorder, generate_series(%(count)s - 1, 0, -1) AS n "
            "WHERE id = %(first)s",
            figures,
        )
        cursor.execute("SET session_replication_role = origin")
