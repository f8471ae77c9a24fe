"""Parts of an order: wanted and so reserved, used and so gone, put back and here again."""

from decimal import Decimal

import pytest

from plant.services.register_refusals import FieldRefusal, RowIsGone, StaleForm
from tests.workorders.factories import NOW, bring_to, make_conveyor, make_order_by_hand
from tests.workorders.part_rows import TODAY, make_part, need
from workorders.models import OrderPart, Part, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.selectors import part_supply
from workorders.services import moving, order_parts
from workorders.services.order_parts import (
    USING_STATES,
    NotSoManyUsed,
    OrderTakesNoParts,
    PartIsOnOrder,
    PartIsOtherPlants,
    PartIsRetired,
)
from workorders.services.part_stock import CountedInWhole, NotSoManyHere

pytestmark = pytest.mark.django_db
# Proof runs need a case; what holds for done holds for proved but for using.
STATES = [state for state in OrderState if state is not OrderState.PROVED]


def want(order: WorkOrder, part: Part, amount: str = "2") -> OrderPart:
    return order_parts.want_part(
        order_id=order.pk, part_id=part.pk, amount=Decimal(amount), by=None, now=NOW
    )


def use(line: OrderPart, amount: str, version: int | None = None) -> OrderPart:
    return order_parts.use_part(
        line_id=line.pk, amount=Decimal(amount), version=version, by=None, now=NOW
    )


def put_back(line: OrderPart, amount: str, version: int | None = None) -> OrderPart:
    return order_parts.put_back(
        line_id=line.pk, amount=Decimal(amount), version=version, by=None, now=NOW
    )


def reserved(part: Part) -> Decimal:
    return sum((one.wanted for one in part_supply.lines_of_part(part, TODAY)), Decimal(0))


def on_hand(part: Part) -> Decimal:
    part.refresh_from_db()
    return part.on_hand


def test_wanting_reserves_and_using_takes_from_both():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "6")
    assert (reserved(part), on_hand(part)) == (6, 10)
    bring_to(order, OrderState.IN_HAND)

    use(line, "4")

    assert (reserved(part), on_hand(part)) == (2, 6)
    moved = part.movements.get()
    assert (moved.kind, moved.change, moved.on_hand_after, moved.order) == ("used", -4, 6, order)


def test_more_can_be_used_than_was_planned_and_nothing_is_reserved_then():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "2")
    bring_to(order, OrderState.IN_HAND)

    use(line, "3")

    assert (reserved(part), on_hand(part)) == (0, 7)


def test_never_more_than_there_are_and_the_refusal_says_how_many():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "3")
    line = want(order, part, "6")
    bring_to(order, OrderState.IN_HAND)

    with pytest.raises(NotSoManyHere, match="only 3") as refused:
        use(line, "4")

    assert refused.value.field == "amount"
    assert (on_hand(part), part.movements.count()) == (3, 0)


def test_what_is_put_back_is_here_again():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "6")
    bring_to(order, OrderState.IN_HAND)
    use(line, "6")

    put_back(line, "2")

    assert (on_hand(part), reserved(part)) == (6, 2)
    assert [one.kind for one in part.movements.all()] == ["put_back", "used"]
    with pytest.raises(NotSoManyUsed, match="Only 4"):
        put_back(line, "5")


def test_pressing_twice_books_once():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "6")
    bring_to(order, OrderState.IN_HAND)
    use(line, "2", version=line.version)

    with pytest.raises(StaleForm):
        use(line, "2", version=line.version)

    assert on_hand(part) == 8


@pytest.mark.parametrize("state", STATES)
def test_parts_are_wanted_while_the_order_is_open_and_used_while_the_work_is(state: OrderState):
    order = make_order_by_hand()
    part, other = (make_part(order.conveyor.plant, "10") for _part in range(2))
    line = want(order, part)
    bring_to(order, state)

    if state in OPEN_STATES:
        assert reserved(part) == 2
        want(order, other)
    else:
        assert reserved(part) == 0
        with pytest.raises(OrderTakesNoParts):
            want(order, other)
        with pytest.raises(OrderTakesNoParts):
            amount(line, "1")
    if state in USING_STATES:
        assert use(line, "1").used == 1
    else:
        with pytest.raises(OrderTakesNoParts):
            use(line, "1")


def amount(line: OrderPart, wanted: str, version: int | None = None) -> OrderPart | None:
    return order_parts.want_amount(
        line_id=line.pk, amount=Decimal(wanted), version=version, by=None, now=NOW
    )


def test_cancelled_after_use_frees_what_it_wanted_and_keeps_what_it_used():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "6")
    bring_to(order, OrderState.IN_HAND)
    use(line, "4")

    moving.move_order(
        order_id=order.pk, to_state=OrderState.CANCELLED, by=None, now=NOW, why="belt is sold"
    )

    assert (reserved(part), on_hand(part)) == (0, 6)
    # A roll that went back on the shelf is there, whatever became of the order.
    assert put_back(line, "1").used == 3
    moving.move_order(
        order_id=order.pk, to_state=OrderState.PROPOSED, by=None, now=NOW, why="it is not"
    )
    assert reserved(part) == 3


def test_an_amount_is_changed_and_nothing_takes_an_unused_part_off_the_order():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "6")
    seen = line.version

    amount(line, "8", version=seen)

    assert reserved(part) == 8
    with pytest.raises(StaleForm):
        amount(line, "9", version=seen)
    assert amount(line, "0") is None
    assert not order.order_parts.exists()
    with pytest.raises(RowIsGone):
        amount(line, "1")
    told = [one.why for one in order.changes.all()]
    assert [words.split(" of ")[0] for words in told[:2]] == [
        "6\N{NO-BREAK SPACE}pcs",
        "8\N{NO-BREAK SPACE}pcs",
    ]
    assert told[2] == f"no {part}"


def test_a_used_part_stays_on_the_order_though_no_more_is_wanted():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant, "10")
    line = want(order, part, "6")
    bring_to(order, OrderState.IN_HAND)
    use(line, "1")

    amount(line, "0")

    kept = order.order_parts.get()
    assert (kept.amount, kept.used, reserved(part)) == (0, 1, 0)


def test_a_part_that_nobody_had_planned_is_booked_all_the_same():
    order = bring_to(make_order_by_hand(), OrderState.DONE)
    part = make_part(order.conveyor.plant, "10")

    line = order_parts.use_unplanned(
        order_id=order.pk, part_id=part.pk, amount=Decimal(1), by=None, now=NOW
    )

    assert (line.amount, line.used, on_hand(part), reserved(part)) == (0, 1, 9, 0)
    with pytest.raises(PartIsOnOrder):
        order_parts.use_unplanned(
            order_id=order.pk, part_id=part.pk, amount=Decimal(1), by=None, now=NOW
        )


def test_booking_that_is_refused_leaves_no_line():
    order = bring_to(make_order_by_hand(), OrderState.IN_HAND)
    part = make_part(order.conveyor.plant)

    with pytest.raises(NotSoManyHere, match="none"):
        order_parts.use_unplanned(
            order_id=order.pk, part_id=part.pk, amount=Decimal(1), by=None, now=NOW
        )

    assert not order.order_parts.exists()


def test_belting_is_booked_by_the_centimetre():
    order = make_order_by_hand()
    belt = make_part(order.conveyor.plant, "20", unit="m", kind="belt")
    line = want(order, belt, "12.35")
    bring_to(order, OrderState.IN_HAND)

    use(line, "12.05")

    assert (on_hand(belt), reserved(belt)) == (Decimal("7.95"), Decimal("0.30"))


def test_parts_that_cannot_be_on_an_order_are_refused():
    order = make_order_by_hand()
    plant = order.conveyor.plant
    part, retired = make_part(plant), make_part(plant, retired_on=TODAY)
    want(order, part)

    refused: list[tuple[Part, str, type[FieldRefusal]]] = [
        (part, "1", PartIsOnOrder),
        (retired, "1", PartIsRetired),
        (make_part(make_conveyor().plant), "1", PartIsOtherPlants),
        (make_part(plant), "1.5", CountedInWhole),
    ]
    for other, how_many, refusal in refused:
        with pytest.raises(refusal):
            want(order, other, how_many)
    assert order.order_parts.count() == 1


def test_need_of_a_part_does_not_make_other_forms_of_the_order_old():
    order = make_order_by_hand()
    before = order.version

    need(order, make_part(order.conveyor.plant), "1")
    want(order, make_part(order.conveyor.plant))

    order.refresh_from_db()
    assert order.version == before
