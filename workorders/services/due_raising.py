"""Orders for what is due, in one step, and all of them taken back in one."""

import logging
import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.loop.parts import GeometryError
from plant.models import Conveyor, User
from plant.selectors.loops import loop_of
from workorders.due_words import line_words, parts_words, title_words
from workorders.models import DueItem, DueOrder, DueState, WorkOrder
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.services import moving, raising_by_hand
from workorders.services.locking import lock_orders
from workorders.services.raising_by_hand import WorkWanted

logger = logging.getLogger(__name__)

MOST_ITEMS, MOST_ORDERS = 500, 100


class NothingIsDue(DomainError):
    code = "nothing_is_due"


class TooMuchAtOnce(DomainError):
    code = "too_much_at_once"


@dataclass(frozen=True)
class Bundle:
    """Rows that make one order."""

    conveyor: Conveyor
    items: tuple[DueItem, ...]

    @property
    def due_on(self) -> date:
        return min(one.due_on for one in self.items)

    @property
    def due_from(self) -> date | None:
        """Not before the first of them may have met its limit; None where one says nothing."""
        days = [one.due_from for one in self.items]
        return None if None in days else min(day for day in days if day is not None)


@dataclass(frozen=True)
class RaisedDue:
    """`standing` had an open order already and were left out."""

    together: uuid.UUID
    orders: tuple[WorkOrder, ...]
    standing: tuple[tuple[DueItem, WorkOrder], ...]


def bundles_of(items: Iterable[DueItem], *, by_month: bool) -> list[Bundle]:
    """One for each row, or for each conveyor, month and kind of work."""
    found: dict[object, list[DueItem]] = defaultdict(list)
    for one in sorted(items, key=lambda one: (one.conveyor_id, one.due_on, one.pk)):
        month = (one.due_on.year, one.due_on.month)
        key = (one.conveyor_id, month, one.what, one.work_method) if by_month else one.pk
        found[key].append(one)
    return [Bundle(rows[0].conveyor, tuple(rows)) for rows in found.values()]


@transaction.atomic
def raise_due(
    *, item_ids: Sequence[int], by_month: bool, by: User | None, now: datetime
) -> RaisedDue:
    """Propose orders for rows of the due list; a row with an open order gets no second one.

    Refuses with NothingIsDue when every row has gone or has its order, and with TooMuchAtOnce.
    """
    items = _locked(item_ids)
    standing = orders_standing(items)
    free = [one for one in items if one.pk not in standing]
    bundles = bundles_of(free, by_month=by_month)
    if not bundles:
        raise NothingIsDue(_("Each of these rows has its order already, or is due no more."))
    if len(bundles) > MOST_ORDERS:
        raise TooMuchAtOnce(
            _("At most %(most)d orders are raised at once. Choose fewer rows.")
            % {"most": MOST_ORDERS}
        )
    together = uuid.uuid4()
    orders = [_raise(one, together, by, now) for one in sorted(bundles, key=_plant_first)]
    logger.info("%d orders raised from the due list by %s.", len(orders), by)
    left = tuple((one, standing[one.pk]) for one in items if one.pk in standing)
    return RaisedDue(together, tuple(orders), left)


@transaction.atomic
def take_back(*, together: uuid.UUID, by: User | None, now: datetime) -> tuple[int, int]:
    """Decline what one press raised and is only proposed yet; how many, and how many not."""
    raised = WorkOrder.objects.filter(due_orders__together=together)
    # Held before they are judged: what somebody approves meanwhile has gone on.
    orders = lock_orders(set(raised.values_list("pk", flat=True)))
    pks = [pk for pk, one in orders.items() if one.state == OrderState.PROPOSED]
    for pk in pks:
        moving.move_order(
            order_id=pk,
            to_state=OrderState.DECLINED,
            by=by,
            now=now,
            why=_("Taken back right after it was raised from the due list."),
        )
    return len(pks), len(orders) - len(pks)


def orders_standing(items: Iterable[DueItem]) -> dict[int, WorkOrder]:
    """The open order of each row that has one; one query."""
    by_key = {(one.conveyor_id, one.key): one.pk for one in items}
    links = DueOrder.objects.filter(
        conveyor__in={conveyor for conveyor, _key in by_key},
        key__in={key for _conveyor, key in by_key},
        is_standing=True,
        order__in=WorkOrder.objects.open(),
    ).select_related("order")
    return {
        by_key[link.conveyor_id, link.key]: link.order
        for link in links
        if (link.conveyor_id, link.key) in by_key
    }


def _locked(item_ids: Sequence[int]) -> list[DueItem]:
    """The rows, with their conveyors' lists locked: of two who raise at once, one waits."""
    if len(item_ids) > MOST_ITEMS:
        raise TooMuchAtOnce(
            _("At most %(most)d rows are raised at once. Choose fewer.") % {"most": MOST_ITEMS}
        )
    rows = DueItem.objects.filter(pk__in=item_ids)
    conveyors = set(rows.values_list("conveyor_id", flat=True))
    list(DueState.objects.select_for_update().filter(conveyor__in=conveyors).order_by("pk"))
    return list(rows.select_related("conveyor__plant", "component").order_by("due_on", "pk"))


def _raise(bundle: Bundle, together: uuid.UUID, by: User | None, now: datetime) -> WorkOrder:
    first = bundle.items[0]
    station, position_m = _place(bundle)
    wanted = WorkWanted(
        title=title_words(bundle.items),
        component=station,
        position_m=position_m,
        work_method=first.work_method,
        steps=tuple(line_words(one) for one in bundle.items),
        due_on=bundle.due_on,
        origin=Origin.REPLACEMENT,
    )
    order = raising_by_hand.raise_by_hand(conveyor=bundle.conveyor, wanted=wanted, by=by, now=now)
    today = bundle.conveyor.plant.day_of(now)
    if bundle.due_from is not None and today < bundle.due_from <= bundle.due_on:
        order.earliest_on = bundle.due_from
    parts = filter(None, map(parts_words, bundle.items))
    order.parts = [*parts, *order.parts]
    order.save(update_fields=["earliest_on", "parts"])
    _link(bundle, order, together, now)
    return order


def _link(bundle: Bundle, order: WorkOrder, together: uuid.UUID, now: datetime) -> None:
    keys = [one.key for one in bundle.items]
    # Links to orders that are open no more; the constraint allows one that stands.
    old = DueOrder.objects.filter(conveyor=bundle.conveyor, key__in=keys, is_standing=True)
    old.update(is_standing=False)
    DueOrder.objects.bulk_create(
        DueOrder(conveyor=bundle.conveyor, key=key, order=order, together=together, raised_at=now)
        for key in keys
    )


def _place(bundle: Bundle) -> tuple[str, float | None]:
    """The station where there is one for all of them; else the place of the first."""
    first = bundle.items[0]
    station = first.station if len({one.station for one in bundle.items}) == 1 else ""
    try:
        loop = loop_of(bundle.conveyor)
    except GeometryError:
        return station, first.position_m
    if station and loop.station_named(station) is None:
        station = ""
    position_m = first.position_m
    if position_m is not None and not 0 <= position_m < loop.length_m:
        position_m = None
    return station, position_m


def _plant_first(bundle: Bundle) -> tuple[int, int, date]:
    # Whoever numbers orders of two plants takes the rows of these in one order.
    return bundle.conveyor.plant_id, bundle.conveyor.pk, bundle.due_on
