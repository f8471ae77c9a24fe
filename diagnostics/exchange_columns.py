"""The columns of files of complaints and cases; new fields are added at the end."""

from plant import exchange_columns
from plant.models import Feed

COMPLAINTS = (
    *("id", "plant", "conveyor.tag", "conveyor.name", "case.number", "case.state", "words"),
    *("how_bad", "roughly_where", "people_near", "caller_name", "caller_contact", "shift"),
    *("external_number", "received_at", "withdrawn_at", "withdrawn_why", "changed_at", "version"),
)
CASES = (
    *("number", "plant", "conveyor.tag", "conveyor.name", "state", "summary", "cause"),
    *("cause_class", "zone", "loop_position_m", "opened_at", "cause_found_at", "proved_at"),
    *("ended_at", "repeat_of", "lost_hours", "changed_at", "version"),
)


def register() -> None:
    exchange_columns.register(Feed.COMPLAINTS, COMPLAINTS)
    exchange_columns.register(Feed.CASES, CASES)
