"""The catalogue: added, changed, counted, retired; what is due; where a part fits."""

from decimal import Decimal
from typing import Any

import pytest

from plant.loop.vocabulary import ComponentKind
from plant.services.register_refusals import FieldRefusal, RowIsGone, StaleForm
from tests.workorders.factories import NOW, make_conveyor, make_order_by_hand, make_plant
from tests.workorders.part_rows import TODAY, day, expect, make_part, need
from workorders.models import Part
from workorders.planning.part_places import BELT, CountedBy
from workorders.services import expecting_parts, keeping_parts, part_uses
from workorders.services.expecting_parts import DueHasEnded, DueTwice
from workorders.services.keeping_parts import PartIsWanted, PartNumberTaken, UnitHasHistory
from workorders.services.part_stock import CountedInWhole, MoreThanAStoreHolds, NotSoManyHere
from workorders.services.part_uses import UseCannotBe, UseSaidBefore

pytestmark = pytest.mark.django_db


def told(part: Part) -> list[tuple[str, Decimal, Decimal]]:
    """The movements of a part, oldest first."""
    rows = part.movements.order_by("pk")
    return [(one.kind, one.change, one.on_hand_after) for one in rows]


def values(**fields: Any) -> dict[str, Any]:
    return {"number": "R-159", "name": "carrying roll", "kind": "roll", "unit": "pcs", **fields}


def test_what_there_is_of_a_new_part_is_the_first_line_of_its_log():
    plant = make_plant()

    part = keeping_parts.add_part(
        plant_id=plant.pk, values=values(), on_hand=Decimal(12), by=None, now=NOW
    )

    assert part.on_hand == 12
    assert told(part) == [("counted", 12, 12)]


def test_a_number_is_given_once_in_a_plant_whatever_the_case_of_its_letters():
    part = make_part(make_plant(), number="R-159")
    other = make_part(part.plant, number="R-133")

    with pytest.raises(PartNumberTaken):
        keeping_parts.add_part(
            plant_id=part.plant_id, values=values(number="r-159"), on_hand=Decimal(0), by=None,
            now=NOW,
        )  # fmt: skip
    with pytest.raises(PartNumberTaken):
        keeping_parts.edit_part(
            part_id=other.pk, values={"number": "R-159"}, version=other.version, by=None
        )

    elsewhere = keeping_parts.add_part(
        plant_id=make_plant().pk, values=values(), on_hand=Decimal(0), by=None, now=NOW
    )
    assert elsewhere.number == "R-159"


def test_of_two_who_edit_a_part_the_second_is_told_what_stands():
    part = make_part(make_plant())
    seen = part.version
    keeping_parts.edit_part(part_id=part.pk, values={"note": "shed 2"}, version=seen, by=None)

    with pytest.raises(StaleForm) as refusal:
        keeping_parts.edit_part(part_id=part.pk, values={"note": "shed 3"}, version=seen, by=None)

    assert refusal.value.row.note == "shed 2"


def test_the_unit_of_a_part_that_was_counted_stays():
    part = make_part(make_plant())
    keeping_parts.edit_part(part_id=part.pk, values={"unit": "m"}, version=None, by=None)
    count(part, "3.5")

    with pytest.raises(UnitHasHistory):
        keeping_parts.edit_part(part_id=part.pk, values={"unit": "pcs"}, version=None, by=None)


def count(part: Part, there_are: str, version: int | None = None) -> Part:
    return keeping_parts.count_part(
        part_id=part.pk, there_are=Decimal(there_are), why="shelf 4", version=version, by=None,
        now=NOW,
    )  # fmt: skip


def test_counting_sets_the_number_and_tells_the_difference():
    part = make_part(make_plant(), "9")

    count(part, "7", version=part.version)

    part.refresh_from_db()
    assert part.on_hand == 7
    assert told(part) == [("counted", -2, 7)]


def test_counting_the_same_number_is_told_but_pressing_twice_is_not():
    part = make_part(make_plant(), "7")
    seen = part.version

    count(part, "7", version=seen)
    count(part, "7", version=seen)

    assert told(part) == [("counted", 0, 7)]


def test_a_count_from_before_a_booking_is_asked_about_again():
    part = make_part(make_plant(), "9")
    seen = part.version
    count(part, "8", version=seen)

    with pytest.raises(StaleForm):
        count(part, "9", version=seen)


@pytest.mark.parametrize(
    ("there_are", "refusal"), [("2.5", CountedInWhole), ("1000001", MoreThanAStoreHolds)]
)
def test_what_cannot_lie_on_a_shelf_is_refused(there_are: str, refusal: type[FieldRefusal]):
    part = make_part(make_plant(), "9")

    with pytest.raises(refusal) as refused:
        count(part, there_are)

    assert refused.value.field == "on_hand"
    assert told(part) == []


def test_a_part_that_an_open_order_wants_does_not_retire():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant)
    line = need(order, part, "2")

    with pytest.raises(PartIsWanted, match=order.number):
        keeping_parts.retire_part(part_id=part.pk, today=TODAY, by=None)

    line.delete()
    assert keeping_parts.retire_part(part_id=part.pk, today=TODAY, by=None).retired_on == TODAY
    assert keeping_parts.bring_part_back(part_id=part.pk, by=None).retired_on is None


def take_in(due: Any, amount: str) -> Any:
    return expecting_parts.take_in(
        due_id=due.pk, amount=Decimal(amount), version=None, by=None, now=NOW
    )


def test_what_came_is_on_hand_and_the_rest_stays_due():
    part = make_part(make_plant(), "1")
    due = expect(part, "10", note="second half")

    take_in(due, "6")

    part.refresh_from_db()
    assert part.on_hand == 7
    rest = part.dues.waiting().get()
    assert (rest.amount, rest.due_on, rest.note) == (4, due.due_on, "second half")
    assert told(part) == [("came", 6, 7)]


def test_what_has_not_come_after_all_is_due_again():
    part = make_part(make_plant(), "1")
    due = expect(part, "3")
    take_in(due, "3")

    expecting_parts.take_in_back(due_id=due.pk, by=None, now=NOW)

    part.refresh_from_db()
    assert part.on_hand == 1
    assert part.dues.waiting().get() == due
    assert told(part)[-1] == ("not_came", -3, 1)
    with pytest.raises(DueHasEnded):
        expecting_parts.take_in_back(due_id=due.pk, by=None, now=NOW)


def test_what_is_used_already_cannot_have_not_come():
    part = make_part(make_plant())
    due = expect(part, "3")
    take_in(due, "3")
    count(part, "1")

    with pytest.raises(NotSoManyHere, match="only 1"):
        expecting_parts.take_in_back(due_id=due.pk, by=None, now=NOW)


def test_called_off_is_not_due_until_it_is_due_after_all():
    part = make_part(make_plant())
    due = expect(part, "3")

    expecting_parts.call_off(due_id=due.pk, version=due.version, by=None, now=NOW)

    assert not part.dues.waiting().exists()
    with pytest.raises(DueHasEnded):
        take_in(due, "3")
    expecting_parts.expect_after_all(due_id=due.pk, by=None)
    assert part.dues.waiting().get() == due


def test_what_comes_later_gets_another_day_and_the_second_writer_is_told():
    due = expect(make_part(make_plant()), "3", days=2)
    seen = due.version
    put = {"amount": Decimal(3), "note": "", "by": None, "due_id": due.pk}
    expecting_parts.put_off(**put, due_on=day(20), version=seen)

    with pytest.raises(StaleForm):
        expecting_parts.put_off(**put, due_on=day(30), version=seen)

    due.refresh_from_db()
    assert due.due_on == day(20)


def test_the_same_delivery_noted_twice_is_refused():
    part = make_part(make_plant())
    asked = {"amount": Decimal(3), "due_on": day(4), "by": None, "part_id": part.pk}
    expecting_parts.expect_part(**asked, note="")

    with pytest.raises(DueTwice):
        expecting_parts.expect_part(**asked, note=" ")

    expecting_parts.expect_part(**asked, note="second pallet")
    assert part.dues.waiting().count() == 2


def fits(part: Part, on: str, by: CountedBy = CountedBy.ONE, **fields: Any) -> Any:
    return part_uses.add_use(part_id=part.pk, values={"on": on, "by": by.value, **fields}, by=None)


def test_a_place_is_said_once_and_can_be_unsaid():
    part = make_part(make_plant())
    use = fits(part, ComponentKind.TROUGHING_IDLERS, CountedBy.ROLL, belt_width_mm=1600.0)

    with pytest.raises(UseSaidBefore):
        fits(part, ComponentKind.TROUGHING_IDLERS, CountedBy.ROLL, belt_width_mm=1600.0)

    fits(part, ComponentKind.TROUGHING_IDLERS, CountedBy.ROLL, belt_width_mm=1400.0)
    part_uses.remove_use(part_id=part.pk, use_id=use.pk, by=None)
    with pytest.raises(RowIsGone):
        part_uses.remove_use(part_id=part.pk, use_id=use.pk, by=None)
    assert part.uses.get().belt_width_mm == 1400


@pytest.mark.parametrize(
    ("on", "by", "fields", "field"),
    [
        (ComponentKind.HEAD_PULLEY, CountedBy.ROLL, {}, "by"),
        (ComponentKind.SELF_ALIGNING_IDLER, CountedBy.METRE, {}, "by"),
        (BELT, CountedBy.METRE, {"name": "HEAD"}, "name"),
        (BELT, CountedBy.METRE, {"diameter_mm": 500.0}, "diameter_mm"),
    ],
)
def test_places_that_cannot_be_are_refused_with_the_field(
    on: str, by: CountedBy, fields: dict[str, Any], field: str
):
    with pytest.raises(UseCannotBe) as refused:
        fits(make_part(make_plant()), on, by, **fields)

    assert refused.value.field == field


def test_a_conveyor_of_another_plant_is_no_place():
    with pytest.raises(UseCannotBe):
        fits(make_part(make_plant()), ComponentKind.HEAD_PULLEY, conveyor=make_conveyor())
