"""A change holds the row in the form the lists have, as it was then; whoever wrote it."""

import json
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from rest_framework import serializers

from diagnostics.api.case_serializers import CaseRecord
from diagnostics.api.serializers import ComplaintDetail
from diagnostics.models import Case, Complaint
from plant import acting
from plant.api.register_records import BeltRecord, ComponentRecord, ConveyorRecord
from plant.api.wire_sql import wire_sql
from plant.models import Belt, Component, Conveyor, FeedArrival, Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.plant import roll_rows
from tests.workorders import factories, kin_rows, sheet_rows
from tests.workorders.factories import NOW
from tests.workorders.feeds.following import CASES, COMPLAINTS, ORDERS, REGISTER, keys, now, told
from workorders.api.serializers import OrderSummary
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import doing, moving, placing

pytestmark = pytest.mark.django_db
# Microseconds, another day in UTC, letters beyond ASCII, quotes.
AWKWARD_AT = datetime(2026, 3, 29, 0, 59, 59, 120000, tzinfo=UTC)
AWKWARD = 'Längs "Q30" \\ 3 °C\nund weiter'


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    conveyor = register.make_complete_conveyor(plant, tag="Q30")
    return factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


def as_listed(serializer: type[serializers.Serializer], row) -> dict:
    return json.loads(json.dumps(serializer(row).data, default=str))


def last_told(of: str) -> dict:
    return json.loads(FeedArrival.objects.filter(of=of).latest("pk").record)


def test_an_order_is_told_as_the_list_shows_it(order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.APPROVED)
    window = sheet_rows.make_window(order.conveyor)
    crew = sheet_rows.make_crew(order.conveyor.plant)
    placing.place_order(
        order_id=order.pk, place=sheet_rows.place_in(window, crew, hours=2), by=None, now=NOW
    )
    WorkOrder.objects.filter(pk=order.pk).update(
        title=AWKWARD[:40],
        external_number="10-4471",
        ended_at=AWKWARD_AT,
        due_on=date(2026, 12, 1),
        waiting_for="parts",
        waiting_why="x",
    )

    row = WorkOrder.objects.get(pk=order.pk)
    assert last_told("work_order") == as_listed(OrderSummary, row)
    assert last_told("work_order")["window"] == "Quay maintenance day"
    assert last_told("work_order")["ended_at"] == "2026-03-29T00:59:59.120000Z"


def test_a_case_and_its_complaint_are_told_as_the_lists_show_them(order: WorkOrder) -> None:
    earlier = factories.make_case(order.conveyor)
    Case.objects.filter(pk=order.case_id).update(
        repeat_of=earlier, lost_hours=Decimal("2.25"), proved_at=AWKWARD_AT
    )
    complaint = Complaint.objects.filter(case=order.case).get()
    complaint.words, complaint.shift, complaint.people_near = AWKWARD, "night", "fall"
    complaint.save()

    assert last_told("case") == as_listed(CaseRecord, Case.objects.get(pk=order.case_id))
    assert last_told("case")["repeat_of"] == earlier.number
    assert last_told("complaint") == as_listed(ComplaintDetail, complaint)


def test_a_complaint_about_nobody_knows_which_belt_is_told_with_none(plant: Plant) -> None:
    complaint = Complaint.objects.create(plant=plant, words="squeals", received_at=NOW)

    assert last_told("complaint") == as_listed(ComplaintDetail, complaint)
    assert last_told("complaint")["conveyor"] is None


@pytest.mark.parametrize(
    ("of", "model", "record", "change"),
    [
        ("conveyor", Conveyor, ConveyorRecord, {"nicknames": [AWKWARD, "b"], "lift_m": 0.1}),
        (
            "component",
            Component,
            ComponentRecord,
            {"note": AWKWARD, "fitted_on": date(2024, 2, 29)},
        ),
        ("belt", Belt, BeltRecord, {"name": AWKWARD, "mass_kg_m2": 16.123456789}),
    ],
)
def test_the_register_is_told_as_the_lists_show_it(of, model, record, change) -> None:
    register.make_complete_conveyor(consequence="whole_line", take_up_kind="screw")
    row = model.objects.last()

    model.objects.filter(pk=row.pk).update(**change)

    row.refresh_from_db()
    assert last_told(of) == as_listed(record, row)


def test_a_field_nobody_can_write_in_sql_is_refused_not_left_out() -> None:
    class Odd(serializers.Serializer):
        steps = serializers.SerializerMethodField()

    with pytest.raises(TypeError, match="no wire form"):
        wire_sql(WorkOrder, Odd, "conveyor.plant")


def test_each_change_holds_the_order_as_it_then_stood(order: WorkOrder, secret: str) -> None:
    since = now(secret)
    seen = []
    for state in (OrderState.APPROVED, OrderState.CANCELLED):
        moving.move_order(order_id=order.pk, to_state=state, by=None, now=NOW, why="x")
        changes = told(secret, after=since)
        seen.append([one["record"]["state"] for one in changes])

    assert seen == [["approved"], ["approved", "cancelled"]]


def test_bulk_updates_and_plain_sql_are_told(order: WorkOrder, secret: str) -> None:
    since = now(secret)

    WorkOrder.objects.update(external_number="7")
    first = told(secret, after=since)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE workorders_workorder SET external_number = '8'")

    assert [one["record"]["external_number"] for one in first] == ["7"]
    both = told(secret, after=since)
    assert [one["record"]["external_number"] for one in both] == ["7", "8"]


def test_what_is_written_without_a_difference_is_no_change(order: WorkOrder, secret: str) -> None:
    places = {address: now(secret, address) for address in (ORDERS, CASES, REGISTER)}

    WorkOrder.objects.update(title=order.title)
    Case.objects.update(diagnosis_owed_at=NOW)
    order.conveyor.save(update_fields=["changed_at"])

    for address, since in places.items():
        assert told(secret, address, after=since) == []


def test_a_ticked_step_and_a_note_are_changes_of_their_order(order: WorkOrder, secret: str) -> None:
    factories.bring_to(order, OrderState.IN_HAND)
    since = now(secret)

    doing.tick_step(order_id=order.pk, place=1, by=None, now=NOW)
    assert keys(told(secret, after=since)) == [("changed", order.number)]

    since = now(secret)
    doing.add_note(order_id=order.pk, words="wet", by=None, now=NOW)
    assert keys(told(secret, after=since)) == [("changed", order.number)]


def test_a_merge_says_into_which_order(order: WorkOrder, secret: str) -> None:
    other = kin_rows.make_work(order.conveyor)
    since = now(secret)

    kin_rows.merge(order, other)

    changes = {one["key"]: one for one in told(secret, after=since)}
    assert changes[other.number]["kind"] == "merged"
    assert changes[other.number]["record"]["merged_into"] == order.number
    assert changes[other.number]["record"]["state"] == "cancelled"
    assert changes[order.number]["kind"] == "changed"


def test_what_one_transaction_does_to_a_row_is_one_change(order: WorkOrder, secret: str) -> None:
    since = now(secret)
    raised = factories.make_order_by_hand(order.conveyor)
    WorkOrder.objects.filter(pk=raised.pk).update(external_number="7")

    (change,) = told(secret, after=since)

    assert (change["kind"], change["key"]) == ("added", raised.number)
    assert change["record"]["external_number"] == "7"


def test_a_row_removed_is_told_as_it_last_was_and_one_never_seen_not_at_all(
    plant: Plant, secret: str
) -> None:
    conveyor = register.make_complete_conveyor(plant)
    belt = conveyor.belts.get()
    since = now(secret, REGISTER)
    pk, length_m = belt.pk, belt.length_m

    belt.delete()
    Belt.objects.create(conveyor=conveyor, width_mm=800, length_m=99).delete()

    # With the belt go its splices.
    (change,) = [one for one in told(secret, REGISTER, after=since) if one["of"] == "belt"]
    assert (change["kind"], change["key"]) == ("removed", str(pk))
    assert change["record"]["length_m"] == length_m


def test_the_register_tells_conveyors_and_all_that_stands_on_them(
    plant: Plant, secret: str
) -> None:
    since = now(secret, REGISTER)

    conveyor = register.make_complete_conveyor(plant)

    changes = told(secret, REGISTER, after=since)
    assert [one["of"] for one in changes].count("component") == conveyor.components.count()
    assert {one["of"] for one in changes} == {"conveyor", "component", "belt", "splice"}
    assert {one["record"]["plant"] for one in changes} == {plant.code}


def test_splices_marks_and_changed_rolls_are_told_as_their_lists_tell_them(
    plant: Plant, secret: str
) -> None:
    conveyor = register.make_complete_conveyor(plant, tag="Q30")
    belt = conveyor.belts.get()
    since = now(secret, REGISTER)

    belt.splices.create(name="S9", belt_position_m=44)
    belt.marks.create(kind="edge damage", belt_position_m=71, side="left")
    roll_rows.change(conveyor, "3")

    changes = told(secret, REGISTER, after=since)
    assert [one["of"] for one in changes] == ["splice", "mark", "roll_change"]
    for change in changes:
        lists = f"/api/v1/conveyors/Q30/{change['of'].replace('_', '-')}s"
        headers = {"Authorization": f"Api-Key {secret}"}
        rows = Client().get(lists, headers=headers).json()["results"]
        assert change["record"] in rows


def test_a_belt_removed_takes_its_splices_along_and_each_is_told(plant: Plant, secret: str) -> None:
    belt = register.make_complete_conveyor(plant).belts.get()
    belt.splices.create(name="S9", belt_position_m=44)
    since = now(secret, REGISTER)

    belt.delete()

    removed = [one for one in told(secret, REGISTER, after=since) if one["kind"] == "removed"]
    assert {one["of"] for one in removed} == {"splice", "belt"}


def test_a_page_says_who_it_was(order: WorkOrder, secret: str, plant: Plant) -> None:
    lead = register.make_person(Role.PLANNER, plants=[plant], display_name="Ines Halloway")
    since = now(secret)

    response = register.signed_in(lead).post(
        reverse("order-move", args=[order.number]),
        {"to_state": "approved", "version": order.version},
    )

    assert response.status_code == 302
    (change,) = told(secret, after=since)
    assert (change["who"], change["by"]) == ("Ines Halloway", "person")


def test_a_key_is_named_and_can_be_spared_its_own(plant: Plant) -> None:
    conveyor = register.make_conveyor(plant, tag="Q30")
    (key, secret), (_other, other_secret) = factories.make_key(plant), factories.make_key(plant)
    since = now(secret, COMPLAINTS)
    with acting.request_begins():
        acting.by_key(key)
        Complaint.objects.create(plant=plant, conveyor=conveyor, words="x", received_at=NOW)

    (change,) = told(secret, COMPLAINTS, after=since)
    assert (change["who"], change["by"]) == (key.name, "key")
    assert told(secret, COMPLAINTS, after=since, own="no") == []
    assert len(told(other_secret, COMPLAINTS, after=since, own="no")) == 1


def test_nobody_is_named_where_nobody_was(order: WorkOrder, secret: str) -> None:
    since = now(secret)
    WorkOrder.objects.update(external_number="7")

    (change,) = told(secret, after=since)

    assert (change["who"], change["by"]) == (None, "system")
