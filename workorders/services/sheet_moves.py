"""A planner's moves on the outage sheet: a place that clashes is kept only when they say so."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import WorkOrder
from workorders.selectors.place_weighing import weigh_place
from workorders.services import placing
from workorders.services.locking import lock_order
from workorders.services.placing import Place


class PlaceClashes(DomainError):
    """`clashes` are sentences, each with its order."""

    code = "place_clashes"

    def __init__(self, clashes: list[str]) -> None:
        self.clashes = clashes
        super().__init__(_("Something stands against that place. Keep it there all the same?"))


@transaction.atomic
def put(
    *,
    order_id: int,
    place: Place,
    by: User | None,
    now: datetime,
    version: int | None = None,
    all_the_same: bool = False,
) -> WorkOrder:
    """Place or move an order; refuses with PlaceClashes unless `all_the_same`, and as placing does.

    Only clashes that the move makes are asked about, not those that were there before.
    """
    order = lock_order(order_id, version=version)
    placing.check_place(order, place, now)
    if not all_the_same:
        weighed = weigh_place(
            order,
            window=place.window,
            crew=place.crew,
            starts_at=place.starts_at,
            ends_at=place.ends_at,
            now=now,
        )
        if weighed.added:
            raise PlaceClashes(weighed.added_words())
    return placing.place_order(order_id=order_id, place=place, by=by, now=now)


def put_back(
    *, order_id: int, before: Place | None, by: User | None, now: datetime, version: int
) -> WorkOrder:
    """Undo a move: there again, or off the sheet when it had no place; refuses as placing does."""
    if before is None:
        return placing.take_off(order_id=order_id, by=by, now=now, version=version)
    return placing.place_order(
        order_id=order_id,
        place=before,
        by=by,
        now=now,
        version=version,
        why=_("Put back where it was."),
    )
