"""The columns of files of work orders; new fields are added at the end."""

from plant import exchange_columns
from plant.models import Feed

ORDERS = (
    *("number", "plant", "conveyor.tag", "conveyor.name", "case", "title", "state", "urgency"),
    *("cause", "zone", "component", "loop_position_m", "due_on", "earliest_on", "planned_for"),
    *("planned_until", "window", "crew", "waiting_for", "external_number", "merged_into"),
    *("split_from", "raised_at", "ended_at", "changed_at", "version"),
)


def register() -> None:
    exchange_columns.register(Feed.WORK_ORDERS, ORDERS)
