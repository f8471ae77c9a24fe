"""The number on hand of a part: one writer at a time, never below nothing, each change told."""

from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import FieldRefusal, RowIsGone
from workorders.models import Part, PartMovement, WorkOrder
from workorders.models.part import MOST_AMOUNT
from workorders.part_words import amount_words


class NotSoManyHere(FieldRefusal):
    code = "not_so_many_parts_here"


class MoreThanAStoreHolds(FieldRefusal):
    code = "more_parts_than_a_store_holds"


class CountedInWhole(FieldRefusal):
    code = "part_counted_in_whole"


def lock_part(part_id: int) -> Part:
    """Lock a part until the transaction ends; an order it is booked on is locked before it."""
    rows = Part.objects.select_for_update(of=("self",), no_key=True).select_related("plant")
    part = rows.filter(pk=part_id).first()
    if part is None:
        raise RowIsGone(_("This part is not in the catalogue any more."))
    return part


def check_amount(part: Part, amount: Decimal, field: str) -> None:
    """Refuses with CountedInWhole and MoreThanAStoreHolds."""
    if part.is_counted_whole and amount != amount.to_integral_value():
        raise CountedInWhole(
            _("%(number)s is counted in whole %(unit)s.")
            % {"number": part.number, "unit": part.get_unit_display()},
            field,
        )
    if amount > MOST_AMOUNT:
        raise MoreThanAStoreHolds(
            _("At most %(most)s at a time.") % {"most": amount_words(MOST_AMOUNT, part)}, field
        )


def change_stock(
    part: Part,
    change: Decimal,
    kind: PartMovement.Kind,
    *,
    by: User | None,
    now: datetime,
    why: str = "",
    order: WorkOrder | None = None,
    field: str = "amount",
) -> PartMovement:
    """Write a change of a part that is locked; refuses with NotSoManyHere and as check_amount."""
    check_amount(part, abs(change), field)
    after = part.on_hand + change
    if after < 0:
        raise NotSoManyHere(_not_so_many(part, -change), field)
    check_amount(part, after, field)
    part.on_hand = after
    part.version += 1
    part.save(update_fields=["on_hand", "version"])
    return PartMovement.objects.create(
        part=part,
        order=order,
        kind=kind,
        change=change,
        on_hand_after=after,
        why=why.strip(),
        at=now,
        by=by,
    )


def _not_so_many(part: Part, wanted: Decimal) -> str:
    words = {
        "number": part.number,
        "here": amount_words(part.on_hand, part),
        "wanted": amount_words(wanted, part),
    }
    if part.on_hand:
        return (
            _("Of %(number)s only %(here)s are here, not %(wanted)s. If there are more, count it.")
            % words
        )
    return _("Of %(number)s there is none here. If there are some, count it.") % words
