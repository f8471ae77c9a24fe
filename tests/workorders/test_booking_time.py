"""Time booked on an order: when, by whom, how much; corrections stay in the log."""

import uuid
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest

from plant.models import Plant
from plant.roles import Role
from plant.services.register_refusals import RowIsGone, StaleForm
from tests.workorders import factories, sheet_rows
from tests.workorders.booked_rows import LATER, TODAY, book
from workorders.models import OrderChange, TimeBooking, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import booked_time
from workorders.services import booking_time
from workorders.services.booking_time import NoTimeIsBookedYet, Spent, TimeRefused, Worker

pytestmark = pytest.mark.django_db
BOOKABLE = {OrderState.IN_HAND, OrderState.DONE, OrderState.PROVED}


@pytest.fixture
def in_hand(plant: Plant) -> WorkOrder:
    order = factories.make_order_by_hand(factories.make_conveyor(plant))
    return factories.bring_to(order, OrderState.IN_HAND)


@pytest.mark.parametrize("state", OrderState)
def test_time_is_booked_from_in_hand_on_and_never_before(plant: Plant, state: OrderState) -> None:
    order = factories.bring_to(factories.make_order_by_hand(factories.make_conveyor(plant)), state)

    if state in BOOKABLE:
        assert book(order)
    else:
        with pytest.raises(NoTimeIsBookedYet):
            book(order)

    assert order.time_bookings.exists() is (state in BOOKABLE)


def test_several_people_who_worked_alike_are_booked_at_once(in_hand: WorkOrder) -> None:
    person = factories.make_person(Role.TECHNICIAN, in_hand.conveyor.plant)
    crew = sheet_rows.make_crew(in_hand.conveyor.plant)

    book(in_hand, person, "Ada Crane", hours="1.5", crew=crew, note="frame was bent")

    rows = list(in_hand.time_bookings.order_by("pk"))
    assert [(row.worker, row.worker_name) for row in rows] == [
        (person, str(person)),
        (None, "Ada Crane"),
    ]
    assert {(row.hours, row.crew, row.note) for row in rows} == {
        (Decimal("1.50"), crew, "frame was bent")
    }


def test_two_people_called_alike_are_both_booked(in_hand: WorkOrder) -> None:
    plant = in_hand.conveyor.plant
    alike = [factories.make_person(Role.TECHNICIAN, plant) for _one in range(2)]
    for person in alike:
        person.display_name = "Ada Crane"
        person.save()

    book(in_hand, *alike)

    assert {row.worker for row in in_hand.time_bookings.all()} == set(alike)


def test_the_same_form_sent_twice_books_once(in_hand: WorkOrder) -> None:
    sent_as = uuid.uuid4()

    book(in_hand, sent_as=sent_as)
    book(in_hand, sent_as=sent_as)

    assert in_hand.time_bookings.count() == 1


def test_one_person_named_twice_in_a_form_is_booked_once(in_hand: WorkOrder) -> None:
    book(in_hand, "Ada Crane", "ada crane")

    assert in_hand.time_bookings.count() == 1


# America/Halifax leaves summer time at 02:00 on 1 November 2026 and enters it on 8 March: the
# nights have an hour more and less than the clock shows (IANA time zone database).
@pytest.mark.parametrize(
    ("day", "begins", "ends", "hours"),
    [
        (date(2026, 10, 20), time(7, 30), time(9, 15), "1.75"),
        (date(2026, 10, 20), time(22), time(6), "8"),
        (date(2026, 10, 31), time(22), time(6), "9"),
        (date(2026, 3, 7), time(22), time(6), "7"),
    ],
)
def test_from_and_to_give_the_hours_that_really_passed(
    in_hand: WorkOrder, day: date, begins: time, ends: time, hours: str
) -> None:
    (row,) = book(in_hand, hours=None, day=day, begins=begins, ends=ends)

    assert row.hours == Decimal(hours)
    row.refresh_from_db()
    assert row.ends_at - row.begins_at == timedelta(hours=float(hours))


@pytest.mark.parametrize(
    ("how", "field"),
    [
        ({"hours": "0"}, "hours"),
        ({"hours": "24.01"}, "hours"),
        ({"hours": None}, "hours"),
        ({"day": TODAY + timedelta(days=1)}, "day"),
        ({"day": TODAY - timedelta(days=367)}, "day"),
        ({"hours": None, "begins": time(9), "ends": time(9), "day": date(2026, 10, 31)}, "ends"),
        ({"hours": None, "begins": time(9), "ends": time(23)}, "ends"),
    ],
)
def test_time_that_cannot_be_is_refused_at_its_field(
    in_hand: WorkOrder, how: dict[str, object], field: str
) -> None:
    with pytest.raises(TimeRefused) as refused:
        book(in_hand, **how)

    assert refused.value.field == field
    assert not in_hand.time_bookings.exists()


def test_nobody_books_more_than_a_day_has(in_hand: WorkOrder) -> None:
    book(in_hand, "Ada Crane", hours="20")

    with pytest.raises(TimeRefused, match="20 h on this day already"):
        book(in_hand, "ADA CRANE", hours="4.5")

    assert book(in_hand, "Ada Crane", hours="4")
    assert book(in_hand, "Ada Crane", hours="24", day=TODAY - timedelta(days=1))


def test_a_step_or_crew_of_elsewhere_is_refused(in_hand: WorkOrder) -> None:
    other = factories.make_order()
    crew = sheet_rows.make_crew(other.conveyor.plant)

    with pytest.raises(TimeRefused, match="went to another order"):
        book(in_hand, step=other.steps.first())
    with pytest.raises(TimeRefused, match="another plant"):
        book(in_hand, crew=crew)


def _correct(row: TimeBooking, hours: str, **how: object) -> TimeBooking:
    given = {"worker": Worker(name="Ada Crane"), "version": row.version, "by": None, **how}
    return booking_time.correct_time(
        booking_id=row.pk,
        order_id=row.order_id,
        spent=Spent(TODAY, Decimal(hours)),
        now=LATER,
        **given,
    )


def test_a_correction_keeps_what_it_was_in_the_log(in_hand: WorkOrder) -> None:
    (row,) = book(in_hand, hours="8")

    _correct(row, "6.5")

    row.refresh_from_db()
    assert row.hours == Decimal("6.5")
    change = OrderChange.objects.get(order=in_hand, kind=OrderChange.Kind.TIME_CORRECTED)
    assert (change.before, change.after) == (
        "Ada Crane, 2026-11-03: 8 h",
        "Ada Crane, 2026-11-03: 6.5 h",
    )


def test_of_two_corrections_the_later_one_is_told(in_hand: WorkOrder) -> None:
    (row,) = book(in_hand, hours="8")
    _correct(row, "6.5")

    with pytest.raises(StaleForm):
        _correct(row, "7")

    row.refresh_from_db()
    assert row.hours == Decimal("6.5")


def test_a_booking_of_another_order_is_not_corrected_here(in_hand: WorkOrder) -> None:
    (row,) = book(in_hand)
    row.order_id = factories.make_order().pk

    with pytest.raises(RowIsGone):
        _correct(row, "1")


def test_what_is_taken_back_counts_no_more_until_it_is_put_back(in_hand: WorkOrder) -> None:
    (row,) = book(in_hand, hours="8")
    book(in_hand, "Ben Locke", hours="1")

    def count(*, counts: bool) -> Decimal:
        booking_time.let_count(
            booking_id=row.pk, order_id=in_hand.pk, counts=counts, by=None, now=LATER
        )
        return booked_time.booked_of(in_hand).hours

    assert count(counts=False) == 1
    assert count(counts=False) == 1
    assert count(counts=True) == 9
    kinds = in_hand.changes.order_by("pk").values_list("kind", flat=True)
    assert list(kinds) == ["time_taken_back", "time_put_back"]


def test_put_back_finds_the_day_full(in_hand: WorkOrder) -> None:
    (row,) = book(in_hand, hours="20")
    booking_time.let_count(booking_id=row.pk, order_id=in_hand.pk, counts=False, by=None, now=LATER)
    book(in_hand, hours="20")

    with pytest.raises(TimeRefused):
        booking_time.let_count(
            booking_id=row.pk, order_id=in_hand.pk, counts=True, by=None, now=LATER
        )


def test_what_is_booked_stands_against_what_was_planned_for_all_hands(in_hand: WorkOrder) -> None:
    in_hand.hours, in_hand.people = Decimal("2.5"), 2
    book(in_hand, "Ada Crane", "Ben Locke", hours="3")

    booked = booked_time.booked_of(in_hand)

    # Two people for two and a half hours by the clock are five hours of work.
    assert (booked.hours, booked.people, booked.planned, booked.more) == (6, 2, 5, 1)


def test_a_booking_lands_on_the_plants_own_day(in_hand: WorkOrder) -> None:
    # Half past one at night in UTC is still the evening before in Halifax.
    night = datetime(2026, 11, 4, 1, 30, tzinfo=UTC)

    with pytest.raises(TimeRefused, match="still to come"):
        book(in_hand, day=date(2026, 11, 4), now=night)
