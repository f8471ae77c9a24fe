"""Work orders are told in the feed of work orders, whoever writes them.

What belongs to an order (steps, notes, moves) touches its `changed_at`, and so is told with it.
"""

from plant.models.feed import Feed
from plant.models.feed_triggers import Told, told_in_feed
from workorders.models.work_order import WorkOrder

told_in_feed(
    Told(
        Feed.WORK_ORDERS,
        "work_order",
        "workorders.api.serializers.OrderSummary",
        key="number",
        merged="merged_into_id",
    )
)(WorkOrder)
