"""Loading the invented plants: once, whole or not at all, the same each time."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from diagnostics import knowledge_files
from diagnostics.models import Case, CaseMove, Complaint, Diagnosis, Hypothesis, Sighting, WalkDown
from plant.models import Component, Conveyor, Plant, User
from workorders.models import OrderMove, ProofRun, WorkOrder
from workorders.services.demo_history import loading, playing
from workorders.services.demo_history.course import lay_course
from workorders.services.demo_history.files import read

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


@pytest.mark.django_db
@pytest.mark.usefixtures("quarry_only")
def test_second_load_changes_nothing():
    first = loading.load_demo(now=NOW)
    before = _counts()

    second = loading.load_demo(now=NOW + timedelta(days=40))

    assert (first.is_new, second.is_new) == (True, False)
    assert _counts() == before


@pytest.mark.slow
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


def test_every_note_left_is_on_a_station_and_a_cause_there_are():
    """Told without loading: a name that is none would leave a note on nothing in particular."""
    stations = {
        said["tag"]: {one.name for part in lay_course(said["course"]) for one in part.stations()}
        for plant in read("plants.yaml")["plants"]
        for name in plant["conveyors"]
        for said in read(name)["conveyors"]
    }
    notes = read("field_notes.yaml")["notes"]

    assert [one for one in notes if one.get("at") and one["at"] not in stations[one["tag"]]] == []
    causes = knowledge_files.current().causes
    assert [one for one in notes if one.get("cause") and one["cause"] not in causes] == []


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
