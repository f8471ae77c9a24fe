"""The invented plants, loaded: whole, once, the same each time, with something for everybody."""

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from diagnostics.case_states import CaseState
from diagnostics.models import Case, CaseMove, Complaint, Diagnosis, Hypothesis, Sighting, WalkDown
from plant.models import Component, Conveyor, Plant, User
from plant.selectors.loops import fitted_belt, loop_of
from workorders.models import OrderMove, ProofRun, WorkOrder
from workorders.order_states import OrderState
from workorders.services.demo_history import loading, playing

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
TABLES = (
    Plant,
    Conveyor,
    Component,
    User,
    Complaint,
    Case,
    CaseMove,
    WalkDown,
    Sighting,
    Diagnosis,
    Hypothesis,
    WorkOrder,
    OrderMove,
    ProofRun,
)


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """Both plants, loaded once for this file and rolled back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        loading.load_demo(now=NOW)
        yield
        transaction.set_rollback(True)


@pytest.fixture
def quarry_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """The small plant alone, for tests that load more than once."""
    real = loading.read
    quarry = {"plants": [real("plants.yaml")["plants"][1]]}
    quarry["plants"][0]["code"] = "FQ"
    people = {"people": [one for one in real("people.yaml")["people"] if one["plants"] == ["FQ"]]}
    monkeypatch.setattr(
        loading, "read", lambda name: quarry if name == "plants.yaml" else real(name)
    )
    monkeypatch.setattr("workorders.services.demo_history.cast.read", lambda _name: people)


def _counts() -> dict[str, int]:
    return {table.__name__: table.objects.count() for table in TABLES}


def _story() -> list[tuple[Any, ...]]:
    """Everything told, without what only the database decides."""
    return [
        *Complaint.objects.order_by("received_at", "words").values_list(
            "words", "received_at", "case__number", "caller_name", "received_by__username"
        ),
        *Sighting.objects.order_by("seen_at", "pk").values_list(
            "client_id", "station", "offset_mm", "degree", "side", "seen_at"
        ),
        *CaseMove.objects.order_by("at", "pk").values_list("case__number", "to_state", "at"),
        *OrderMove.objects.order_by("at", "pk").values_list("order__number", "to_state", "at"),
        *Hypothesis.objects.order_by("pk").values_list("cause", "component", "probability"),
    ]


# --- the whole of it ---


@pytest.mark.usefixtures("loaded")
def test_both_plants_are_marked_as_invented():
    assert set(Plant.objects.values_list("code", "is_demo")) == {("LT", True), ("FQ", True)}


@pytest.mark.usefixtures("loaded")
def test_cases_stand_in_every_state():
    states = Counter(Case.objects.values_list("state", flat=True))

    assert set(states) == {state.value for state in CaseState}
    assert 60 <= states.total() <= 130
    assert states[CaseState.CLOSED] > states.total() / 2


@pytest.mark.usefixtures("loaded")
def test_orders_stand_in_every_state_and_some_wait():
    states = set(WorkOrder.objects.values_list("state", flat=True))

    assert states == {state.value for state in OrderState}
    assert WorkOrder.objects.open().exclude(waiting_for="").exists()
    assert WorkOrder.objects.filter(case__isnull=True).exists()


@pytest.mark.usefixtures("loaded")
def test_notorious_belts_come_back_within_the_window():
    repeats = Counter(
        Case.objects.filter(repeat_of__isnull=False).values_list("conveyor__tag", flat=True)
    )

    assert repeats["Q30"] >= 4
    assert repeats["P11"] >= 2
    assert repeats.total() < Case.objects.count() / 2


@pytest.mark.usefixtures("loaded")
def test_proof_runs_pass_and_fail():
    assert ProofRun.objects.filter(passed=True).count() > 40
    assert ProofRun.objects.filter(passed=False).count() >= 3


@pytest.mark.usefixtures("loaded")
def test_complaints_wait_without_a_belt_and_some_are_withdrawn():
    waiting = Complaint.objects.filter(conveyor__isnull=True, withdrawn_at__isnull=True)

    assert waiting.filter(plant__code="LT").count() >= 3
    assert waiting.filter(plant__code="FQ").count() == 1
    assert Complaint.objects.filter(withdrawn_at__isnull=False).exists()
    assert Case.objects.filter(complaints__isnull=False).count() > Case.objects.count()


@pytest.mark.usefixtures("loaded")
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


@pytest.mark.usefixtures("loaded")
def test_first_diagnoses_are_mostly_right_but_not_always():
    right = []
    for case in Case.objects.filter(state=CaseState.CLOSED).prefetch_related("diagnoses"):
        first = min(case.diagnoses.all(), key=lambda one: one.made_at)
        classes = list(dict.fromkeys(entry["class"] for entry in first.answer["ranked"]))
        right.append(classes[0] == case.cause_class)

    assert 0.5 < sum(right) / len(right) < 1


@pytest.mark.usefixtures("loaded")
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


@pytest.mark.usefixtures("loaded")
def test_numbers_follow_the_calendar():
    for model, moment in ((Case, "opened_at"), (WorkOrder, "raised_at")):
        for plant in ("LT", "FQ"):
            rows = model.objects.filter(conveyor__plant__code=plant).order_by("number")
            moments = list(rows.values_list(moment, flat=True))
            assert moments == sorted(moments)


@pytest.mark.usefixtures("loaded")
def test_every_loop_builds_without_questions():
    for conveyor in Conveyor.objects.all():
        belt = fitted_belt(conveyor)

        assert loop_of(conveyor, belt=belt).questions == (), conveyor.tag


@pytest.mark.usefixtures("loaded")
def test_moves_of_a_case_follow_one_another():
    for case in Case.objects.prefetch_related("moves"):
        moves = sorted(case.moves.all(), key=lambda move: (move.at, move.pk))

        assert [move.from_state for move in moves[1:]] == [move.to_state for move in moves[:-1]]
        assert moves[-1].to_state == case.state


@pytest.mark.usefixtures("loaded")
def test_people_of_the_history_sign_in_only_where_they_should():
    without = [one for one in User.objects.all() if not one.has_usable_password()]

    assert {one.display_name for one in without} >= {"Ovra Tindle", "Nuno Vasquil"}
    assert all(one.email == "" for one in without)
    assert set(User.objects.get(display_name="Nuno Vasquil").plants.all()) == {
        Plant.objects.get(code="FQ")
    }


@pytest.mark.usefixtures("loaded")
def test_quarry_is_seen_by_its_own_people_and_the_administrator_only():
    seen_by = User.objects.filter(plants__code="FQ", email__gt="")

    assert [one.username for one in seen_by] == ["admin@larkwater.example"]


# --- loading itself, with the small plant ---


@pytest.mark.django_db
@pytest.mark.usefixtures("quarry_only")
def test_second_load_changes_nothing():
    first = loading.load_demo(now=NOW)
    before = _counts()

    second = loading.load_demo(now=NOW + timedelta(days=40))

    assert (first.is_new, second.is_new) == (True, False)
    assert _counts() == before


@pytest.mark.django_db
@pytest.mark.usefixtures("quarry_only")
def test_same_seed_and_day_load_the_same_story_at_any_hour():
    stories = []
    for hours in (0, 5):
        with transaction.atomic():
            loading.load_demo(now=NOW + timedelta(hours=hours), seed=3)
            stories.append(_story())
            transaction.set_rollback(True)

    assert stories[0] == stories[1]
    assert len(stories[0]) > 300


@pytest.mark.django_db
@pytest.mark.usefixtures("quarry_only")
def test_loading_that_breaks_off_leaves_nothing(monkeypatch: pytest.MonkeyPatch):
    real = playing.tell
    told = []

    def breaks_off(scene: Any) -> Any:
        told.append(scene)
        if len(told) > 3:
            raise KeyboardInterrupt
        return real(scene)

    monkeypatch.setattr(playing, "tell", breaks_off)

    with pytest.raises(KeyboardInterrupt):
        loading.load_demo(now=NOW)

    assert not any(_counts().values())


@pytest.mark.django_db
def test_real_plant_with_the_same_code_is_left_alone():
    Plant.objects.create(code="LT", name="Lower Town Works")

    with pytest.raises(CommandError, match="Lower Town Works has the code LT"):
        call_command("load_demo")

    assert not Conveyor.objects.exists()


@pytest.mark.django_db
def test_negative_seed_is_refused_with_the_accepted_form():
    with pytest.raises(CommandError, match="whole number from 0"):
        call_command("load_demo", seed=-1)
