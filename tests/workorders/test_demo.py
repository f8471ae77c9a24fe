"""The invented plants as loaded: a whole history, and something to see for everybody."""

import json
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from drf_spectacular.utils import OpenApiExample
from PIL import Image

from diagnostics import knowledge_files
from diagnostics.api.finding_serializers import SENT_FINDING
from diagnostics.case_states import CaseState
from diagnostics.edition_states import EditionState
from diagnostics.models import (
    Case,
    CaseMove,
    Complaint,
    Diagnosis,
    FieldNote,
    KnowledgeEdition,
    Sighting,
    TimedLook,
    WalkDown,
)
from diagnostics.selectors.timed_looks import read_look
from plant.api.condition_serializers import SENT_CONDITION
from plant.loop.vocabulary import Side
from plant.models import Attachment, Conveyor, Plant, User
from plant.selectors.loops import fitted_belt, loop_of
from tests.workorders.factories import make_key
from workorders.api.examples import NUMBERS
from workorders.api.order_examples import (
    HOURS_SENT,
    MOVE,
    NOTE_SENT,
    NUMBERED,
    PART_SENT,
    RAISE,
    TIME_SENT,
    WAITS,
)
from workorders.models import OrderMove, OrderPhoto, ProofRun, TimeBooking, WorkOrder
from workorders.order_states import OrderState
from workorders.services.demo_history import loading

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
ROLES = ("clerk", "technician", "planner", "lead", "admin")
PLANNED = NUMBERS[0].value
NOTHING_YET = 'class="empty"'

# The mark also tells pytest-django which databases to make.
pytestmark = [
    pytest.mark.slow,
    pytest.mark.django_db,
    pytest.mark.usefixtures("loaded"),
]


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """Both plants, loaded once for this file and rolled back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        loading.load_demo(now=NOW)
        yield
        transaction.set_rollback(True)


def test_both_plants_are_marked_as_invented():
    assert set(Plant.objects.values_list("code", "is_demo")) == {("LT", True), ("FQ", True)}


def test_a_lead_is_drafting_a_change_of_the_knowledge_that_does_not_count_yet():
    draft = KnowledgeEdition.objects.get()

    assert (draft.plant.code, draft.state) == ("LT", EditionState.DRAFT)
    assert draft.changes.count() == 2
    assert all(one.why and one.changed_by for one in draft.changes.all())
    assert not Diagnosis.objects.filter(edition__isnull=False).exists()


def test_cases_stand_in_every_state():
    states = Counter(Case.objects.values_list("state", flat=True))

    assert set(states) == {state.value for state in CaseState}
    assert 60 <= states.total() <= 130
    assert states[CaseState.CLOSED] > states.total() / 2


def test_work_has_hours_photos_and_orders_that_hang_together():
    larkwater = WorkOrder.objects.filter(conveyor__plant__code="LT")

    assert larkwater.filter(time_bookings__isnull=False).distinct().count() >= 15
    assert set(OrderPhoto.objects.values_list("moment", flat=True)) == {"before", "during", "after"}
    assert larkwater.filter(waits_for__isnull=False).exists()
    assert larkwater.filter(split_from__isnull=False).exists()
    assert larkwater.filter(merged_into__isnull=False).exists()
    assert not TimeBooking.objects.filter(booked_at__gt=NOW).exists()


def test_orders_stand_in_every_state_and_some_wait():
    states = set(WorkOrder.objects.values_list("state", flat=True))

    assert states == {state.value for state in OrderState}
    assert WorkOrder.objects.open().exclude(waiting_for="").exists()
    assert WorkOrder.objects.filter(case__isnull=True).exists()


def test_stations_were_timed_and_one_open_case_has_a_sensors_file():
    looks = TimedLook.objects.select_related("case__conveyor")
    (open_one,) = looks.filter(kind=TimedLook.Kind.LOG)
    reading = read_look(open_one).reading

    assert looks.filter(kind=TimedLook.Kind.TAPS).count() >= 2
    assert all("turns of the belt" in " ".join(read_look(one).said) for one in looks)
    assert open_one.case.is_open
    assert reading is not None
    assert reading.splice_near is not None
    # What was put there: a crooked second splice that drives the belt to the left.
    assert reading.splice_near.name == "S2"
    assert abs(reading.splice_near.ahead_m) < 3
    assert reading.travel.side is Side.LEFT


def test_people_left_notes_and_pictures_for_the_next_one():
    notes = FieldNote.objects.select_related("component", "written_by")

    assert {one.conveyor.tag for one in notes} >= {"Q30", "P11", "F1"}
    assert all(one.written_by for one in notes)
    assert [one.no_longer_why for one in notes if not one.stands]
    # Each names a cause of the catalogue or none.
    known = knowledge_files.current().causes
    assert {one.cause for one in notes if one.cause} <= set(known)
    assert Attachment.objects.filter(component__name="TAKE-UP FRAME").exists()


def test_rolls_were_changed_and_wear_was_measured():
    quay = Conveyor.objects.get(tag="Q30")

    assert {one.set_name for one in quay.roll_changes.all()} >= {"C1-12", "C1-46", "I3", "R1-7"}
    lagging = quay.readings.filter(quantity="lagging_thickness", spot="middle")
    values = [one.value for one in lagging.order_by("taken_at")]
    assert values == sorted(values, reverse=True)
    assert len(values) >= 3
    assert quay.meter_readings.count() >= 12


def test_one_open_case_has_photos_of_what_was_found():
    (case,) = Case.objects.open().filter(photos__isnull=False).distinct()
    rows = case.photos.select_related("finding", "taken_by")

    assert len(rows) == 3
    for row in rows:
        assert row.finding.is_present
        assert row.caption
        assert row.taken_by is not None
        assert row.taken_at < row.sent_at <= NOW
        with Image.open(row.file.open()) as image:
            assert image.size == (row.width, row.height) == (1200, 900)


def test_notorious_belts_come_back_within_the_window():
    repeats = Counter(
        Case.objects.filter(repeat_of__isnull=False).values_list("conveyor__tag", flat=True)
    )

    assert repeats["Q30"] >= 4
    assert repeats["P11"] >= 2
    assert repeats.total() < Case.objects.count() / 2


def test_proof_runs_pass_and_fail():
    assert ProofRun.objects.filter(passed=True).count() > 40
    assert ProofRun.objects.filter(passed=False).count() >= 3


def test_complaints_wait_without_a_belt_and_some_are_withdrawn():
    waiting = Complaint.objects.filter(conveyor__isnull=True, withdrawn_at__isnull=True)

    assert waiting.filter(plant__code="LT").count() >= 3
    assert waiting.filter(plant__code="FQ").count() == 1
    assert Complaint.objects.filter(withdrawn_at__isnull=False).exists()
    assert Case.objects.filter(complaints__isnull=False).count() > Case.objects.count()


def test_one_open_case_has_a_standing_diagnosis_ready_for_accepting():
    ready = Case.objects.filter(
        state=CaseState.LOOKED_AT,
        cause="",
        walk_downs__finished_at__isnull=False,
        diagnoses__superseded_at__isnull=True,
        diagnoses__is_sufficient=True,
    )

    assert ready.exists()
    assert Case.objects.filter(state=CaseState.OPEN, walk_downs__isnull=True).exists()
    assert WalkDown.objects.filter(finished_at__isnull=True).exists()


def test_first_diagnoses_are_mostly_right_but_not_always():
    right = []
    for case in Case.objects.filter(state=CaseState.CLOSED).prefetch_related("diagnoses"):
        first = min(case.diagnoses.all(), key=lambda one: one.made_at)
        classes = list(dict.fromkeys(entry["class"] for entry in first.answer["ranked"]))
        right.append(classes[0] == case.cause_class)

    assert 0.5 < sum(right) / len(right) < 1


def test_nothing_happens_after_last_night_and_nothing_is_owed():
    last_night = NOW.replace(hour=4, minute=0)  # midnight in Halifax

    latest = [
        Complaint.objects.latest("received_at").received_at,
        Sighting.objects.latest("seen_at").seen_at,
        CaseMove.objects.latest("at").at,
        OrderMove.objects.latest("at").at,
        Diagnosis.objects.latest("made_at").made_at,
        ProofRun.objects.latest("at").at,
    ]

    assert max(latest) <= last_night
    assert not Case.objects.owing_diagnosis().exists()
    assert Case.objects.earliest("opened_at").opened_at < NOW - timedelta(days=480)


def test_numbers_follow_the_calendar():
    for model, moment in ((Case, "opened_at"), (WorkOrder, "raised_at")):
        for plant in ("LT", "FQ"):
            rows = model.objects.filter(conveyor__plant__code=plant).order_by("number")
            moments = list(rows.values_list(moment, flat=True))
            assert moments == sorted(moments)


def test_every_loop_builds_without_questions():
    for conveyor in Conveyor.objects.all():
        belt = fitted_belt(conveyor)

        assert loop_of(conveyor, belt=belt).questions == (), conveyor.tag


def test_moves_of_a_case_follow_one_another():
    for case in Case.objects.prefetch_related("moves"):
        moves = sorted(case.moves.all(), key=lambda move: (move.at, move.pk))

        assert [move.from_state for move in moves[1:]] == [move.to_state for move in moves[:-1]]
        assert moves[-1].to_state == case.state


def test_people_of_the_history_sign_in_only_where_they_should():
    without = [one for one in User.objects.all() if not one.has_usable_password()]

    assert {one.display_name for one in without} >= {"Ovra Tindle", "Nuno Vasquil"}
    assert all(one.email == "" for one in without)
    assert set(User.objects.get(display_name="Nuno Vasquil").plants.all()) == {
        Plant.objects.get(code="FQ")
    }


def test_quarry_is_seen_by_its_own_people_and_the_administrator_only():
    seen_by = User.objects.filter(plants__code="FQ", email__gt="")

    assert [one.username for one in seen_by] == ["admin@larkwater.example"]


# --- what people see of it ---


def _client(role: str) -> Client:
    client = Client()
    user = User.objects.get(username=f"{role}@larkwater.example")
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def _page(role: str, address: str) -> str:
    answer = _client(role).get(address)
    assert answer.status_code == 200, address
    return answer.content.decode()


@pytest.mark.parametrize("role", ROLES)
def test_today_has_something_for_every_role(role: str):
    assert NOTHING_YET not in _page(role, reverse("today"))


@pytest.mark.parametrize(
    "name", ["conveyors", "complaints", "cases", "work", "trends", "knowledge", "rules"]
)
@pytest.mark.parametrize("role", ["clerk", "lead"])
def test_lists_are_filled(name: str, role: str):
    assert NOTHING_YET not in _page(role, reverse(name))


@pytest.mark.parametrize("name", ["people", "plants"])
def test_administration_is_filled(name: str):
    assert NOTHING_YET not in _page("admin", reverse(name))


def test_every_conveyor_has_a_page_and_a_trend():
    client = _client("lead")

    for conveyor in Conveyor.objects.filter(plant__code="LT"):
        where = ["LT", conveyor.tag]
        assert client.get(reverse("conveyor", args=where)).status_code == 200
        assert client.get(reverse("conveyor-trend", args=where)).status_code == 200


@pytest.mark.parametrize("state", list(CaseState))
def test_case_of_each_state_can_be_read(state: CaseState):
    case = Case.objects.filter(state=state, conveyor__plant__code="LT").latest("opened_at")

    page = _page("technician", reverse("case", args=[case.number]))

    assert case.number in page
    assert case.conveyor.tag in page


@pytest.mark.parametrize("state", list(OrderState))
def test_order_of_each_state_can_be_read(state: OrderState):
    order = WorkOrder.objects.filter(state=state, conveyor__plant__code="LT").latest("raised_at")

    assert order.number in _page("planner", reverse("order", args=[order.number]))


def test_diagnoses_standing_and_superseded_can_be_read():
    for is_past in (True, False):
        diagnosis = Diagnosis.objects.filter(
            superseded_at__isnull=not is_past, case__conveyor__plant__code="LT"
        ).latest("made_at")

        where = [diagnosis.case.number, diagnosis.pk]
        page = _page("technician", reverse("diagnosis", args=where))

        assert diagnosis.case.conveyor.tag in page


def test_walk_downs_going_and_finished_can_be_read():
    going = WalkDown.objects.get(finished_at__isnull=True)
    finished = WalkDown.objects.filter(case__number__startswith="LT").latest("finished_at")

    assert _page("technician", reverse("walk-down", args=[going.pk]))
    assert _page("technician", reverse("walk-down-summary", args=[finished.pk]))


def test_complaint_without_a_belt_can_be_read():
    waiting = Complaint.objects.filter(conveyor__isnull=True, plant__code="LT").latest("pk")

    assert waiting.words[:20] in _page("clerk", reverse("complaint", args=[waiting.pk]))


def test_quarry_is_not_there_for_the_terminal():
    case = Case.objects.filter(conveyor__plant__code="FQ").latest("pk")
    addresses = [reverse("case", args=[case.number]), reverse("conveyor", args=["FQ", "F1"])]

    for address in addresses:
        assert _client("lead").get(address).status_code == 404
        assert _client("admin").get(address).status_code == 200


@pytest.mark.parametrize(
    ("method", "address", "example"),
    [
        ("POST", "conveyors/Q30/condition-readings", SENT_CONDITION),
        ("POST", "cases/LT-C-0089/findings", SENT_FINDING),
        ("POST", "work-orders", RAISE.value),
        ("PATCH", f"work-orders/{PLANNED}", NUMBERED.value),
        ("PATCH", f"work-orders/{PLANNED}", WAITS.value),
        ("POST", f"work-orders/{PLANNED}/moves", MOVE.value),
        ("POST", f"work-orders/{PLANNED}/notes", NOTE_SENT.value),
    ],
)
def test_what_the_api_shows_as_an_example_the_demo_plant_takes(
    method: str, address: str, example: dict[str, Any]
):
    _send(method, address, example)


@pytest.mark.parametrize(
    ("what", "example"), [("parts", PART_SENT), ("time", TIME_SENT), ("time", HOURS_SENT)]
)
def test_so_does_work_that_was_begun_as_in_the_example(what: str, example: OpenApiExample):
    _send("POST", f"work-orders/{PLANNED}/moves", MOVE.value)

    _send("POST", f"work-orders/{PLANNED}/{what}", example.value)


def _send(method: str, address: str, example: dict[str, Any]) -> None:
    _key, secret = make_key(Plant.objects.get(code="LT"))
    told = Client().generic(
        method,
        f"/api/v1/{address}",
        json.dumps(example),
        "application/json",
        headers={"Authorization": f"Api-Key {secret}", "If-Match": "*"},
    )
    assert told.status_code < 300, told.content
