"""Parts on an order: what it wants, what it used, what was put back.

Whoever changes a line holds the order, then the part; the number on hand follows in the same
transaction. Ending an order frees what it still wanted, since reserved is reckoned, not written.
"""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import FieldRefusal, RowIsGone, check_version
from workorders.models import OrderChange, OrderPart, Part, PartMovement, WorkOrder
from workorders.order_states import OrderState
from workorders.part_words import amount_words
from workorders.services.locking import lock_order
from workorders.services.part_stock import change_stock, check_amount, lock_part

MOST_LINES = 60
USING_STATES = frozenset({OrderState.IN_HAND, OrderState.DONE})


class OrderTakesNoParts(FieldRefusal):
    code = "order_takes_no_parts"


class PartIsOnOrder(FieldRefusal):
    code = "part_is_on_order"


class PartIsOtherPlants(FieldRefusal):
    code = "part_is_other_plants"


class PartIsRetired(FieldRefusal):
    code = "part_is_retired"


class NotSoManyUsed(FieldRefusal):
    code = "not_so_many_parts_used"


class TooManyLines(FieldRefusal):
    code = "too_many_order_parts"


@transaction.atomic
def want_part(
    *, order_id: int, part_id: int, amount: Decimal, by: User | None, now: datetime
) -> OrderPart:
    """Put a part on an open order, which reserves it.

    Refuses with OrderTakesNoParts, PartIsOtherPlants, PartIsRetired, PartIsOnOrder, TooManyLines
    and as check_amount.
    """
    order, part = lock_order(order_id), lock_part(part_id)
    if not order.is_open:
        raise OrderTakesNoParts(_not_in_state(order))
    line = _new_line(order, part, amount)
    _log(order, _("%(amount)s of %(part)s"), line.amount, part, by, now)
    _touch(order)
    return line


@transaction.atomic
def want_amount(
    *, line_id: int, amount: Decimal, version: int | None, by: User | None, now: datetime
) -> OrderPart | None:
    """Another amount; 0 takes an unused part off the order. Refuses with StaleForm and as above."""
    order, part, line = _lock(line_id)
    check_version(line, version)
    if not order.is_open:
        raise OrderTakesNoParts(_not_in_state(order))
    check_amount(part, amount, "amount")
    if amount == line.amount:
        return line
    if amount == 0:
        _log(order, _("no %(part)s"), amount, part, by, now)
    else:
        _log(order, _("%(amount)s of %(part)s"), amount, part, by, now)
    if amount == 0 and line.used == 0:
        line.delete()
        _touch(order)
        return None
    line.amount = amount
    return _saved(order, line)


@transaction.atomic
def use_part(
    *, line_id: int, amount: Decimal, version: int | None, by: User | None, now: datetime
) -> OrderPart:
    """So many were fitted; refuses with StaleForm, OrderTakesNoParts and NotSoManyHere."""
    order, part, line = _lock(line_id)
    check_version(line, version)
    _check_using(order)
    _use(order, part, line, amount, by, now)
    return _saved(order, line)


@transaction.atomic
def use_unplanned(
    *, order_id: int, part_id: int, amount: Decimal, by: User | None, now: datetime
) -> OrderPart:
    """A part was fitted that nobody had put on the order; refuses as want_part and use_part."""
    order, part = lock_order(order_id), lock_part(part_id)
    _check_using(order)
    line = _new_line(order, part, Decimal(0))
    _use(order, part, line, amount, by, now)
    return _saved(order, line)


@transaction.atomic
def book_used(
    *, order_id: int, part_id: int, amount: Decimal, by: User | None, now: datetime
) -> OrderPart:
    """So many more were fitted, whether or not the part was on the order; refuses as those do."""
    lock_order(order_id)
    line = OrderPart.objects.filter(order=order_id, part=part_id).first()
    if line is None:
        return use_unplanned(order_id=order_id, part_id=part_id, amount=amount, by=by, now=now)
    return use_part(line_id=line.pk, amount=amount, version=None, by=by, now=now)


@transaction.atomic
def take_back_used(
    *, order_id: int, part_id: int, amount: Decimal, by: User | None, now: datetime
) -> OrderPart:
    """So many were not fitted after all; refuses as put_back, also where none were booked."""
    lock_order(order_id)
    line = OrderPart.objects.filter(order=order_id, part=part_id).first()
    if line is None:
        raise NotSoManyUsed(_("This part is not booked on this order."), "part")
    return put_back(line_id=line.pk, amount=amount, version=None, by=by, now=now)


@transaction.atomic
def put_back(
    *, line_id: int, amount: Decimal, version: int | None, by: User | None, now: datetime
) -> OrderPart:
    """So many were not fitted after all, whatever has become of the order since.

    Refuses with StaleForm and NotSoManyUsed.
    """
    order, part, line = _lock(line_id)
    check_version(line, version)
    if amount > line.used:
        raise NotSoManyUsed(
            _("Only %(used)s are booked on this order.") % {"used": amount_words(line.used, part)},
            "amount",
        )
    change_stock(part, amount, PartMovement.Kind.PUT_BACK, by=by, now=now, order=order)
    line.used -= amount
    return _saved(order, line)


def _use(
    order: WorkOrder, part: Part, line: OrderPart, amount: Decimal, by: User | None, now: datetime
) -> None:
    change_stock(part, -amount, PartMovement.Kind.USED, by=by, now=now, order=order)
    check_amount(part, line.used + amount, "amount")
    line.used += amount


def _new_line(order: WorkOrder, part: Part, amount: Decimal) -> OrderPart:
    if part.plant_id != order.conveyor.plant_id:
        raise PartIsOtherPlants(_("That part belongs to another plant."), "part")
    if part.retired_on is not None:
        raise PartIsRetired(_("%(part)s has retired.") % {"part": part}, "part")
    if order.order_parts.filter(part=part).exists():
        raise PartIsOnOrder(_("%(part)s is on this order already.") % {"part": part}, "part")
    if order.order_parts.count() >= MOST_LINES:
        raise TooManyLines(_("At most %(most)d parts stand on an order.") % {"most": MOST_LINES})
    check_amount(part, amount, "amount")
    return OrderPart.objects.create(order=order, part=part, amount=amount)


def _lock(line_id: int) -> tuple[WorkOrder, Part, OrderPart]:
    """A line never changes its order nor its part, so both may be read before the locks."""
    known = OrderPart.objects.filter(pk=line_id).values_list("order_id", "part_id").first()
    if known is None:
        raise RowIsGone(_("Somebody took this part off the order while you had it open."))
    order, part = lock_order(known[0]), lock_part(known[1])
    line = OrderPart.objects.filter(pk=line_id).first()
    if line is None:
        raise RowIsGone(_("Somebody took this part off the order while you had it open."))
    return order, part, line


def _check_using(order: WorkOrder) -> None:
    if OrderState(order.state) not in USING_STATES:
        raise OrderTakesNoParts(
            _("%(number)s is %(state)s. Parts are booked while it is in hand, or done.")
            % {"number": order.number, "state": order.get_state_display()}
        )


def _not_in_state(order: WorkOrder) -> str:
    return _("%(number)s is %(state)s; it asks for no parts any more.") % {
        "number": order.number,
        "state": order.get_state_display(),
    }


def _log(
    order: WorkOrder, words: str, amount: Decimal, part: Part, by: User | None, now: datetime
) -> None:
    """Told in the order's log as a figure that was put right; the order's version stays."""
    why = words % {"amount": amount_words(amount, part), "part": part}
    OrderChange.objects.create(
        order=order, kind=OrderChange.Kind.EDITED, after="parts", why=why[:400], at=now, by=by
    )


def _saved(order: WorkOrder, line: OrderPart) -> OrderPart:
    line.version += 1
    line.save()
    _touch(order)
    return line


def _touch(order: WorkOrder) -> None:
    """Its parts belong to it: whoever follows orders is told."""
    order.save(update_fields=["changed_at"])
