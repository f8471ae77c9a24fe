import pytest
from django.db import OperationalError, connection

from plant.models import Plant
from plant.services import demo_database

pytestmark = pytest.mark.django_db


@pytest.fixture
def commands(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    called: list[str] = []
    monkeypatch.setattr(demo_database, "call_command", lambda name, **_options: called.append(name))
    monkeypatch.setattr(connection, "close", lambda: None)
    return called


def test_empty_database_is_migrated_and_loaded(commands: list[str]):
    said: list[str] = []

    demo_database.prepare(said.append)

    assert commands == ["migrate", "load_demo"]
    assert "Larkwater" in said[-1]


def test_loaded_database_is_brought_up_to_date_without_saying_it_is_loaded(commands: list[str]):
    Plant.objects.create(code="LT", name="Larkwater Terminal", is_demo=True)
    said: list[str] = []

    demo_database.prepare(said.append)

    assert commands == ["migrate", "load_demo"]
    assert "Larkwater" not in said[-1]


def test_database_of_a_real_plant_is_refused_before_anything_is_written(commands: list[str]):
    Plant.objects.create(code="Q", name="Quay Nine")

    with pytest.raises(demo_database.HoldsRealPlant, match=r"Quay Nine.*DATABASE_URL"):
        demo_database.prepare(lambda _line: None)

    assert commands == []


def test_database_that_does_not_answer_is_named_with_a_way_out(
    commands: list[str], monkeypatch: pytest.MonkeyPatch
):
    def refuse() -> None:
        raise OperationalError("connection refused")

    monkeypatch.setattr(connection, "ensure_connection", refuse)
    monkeypatch.setitem(connection.settings_dict, "ENGINE", "django.db.backends.postgresql")

    with pytest.raises(demo_database.DatabaseNotThere, match=r"refused\n.*DATABASE_URL"):
        demo_database.prepare(lambda _line: None)

    assert commands == []


def test_own_plant_tried_beside_the_demo_does_no_harm(commands: list[str]):
    Plant.objects.create(code="LT", name="Larkwater Terminal", is_demo=True)
    Plant.objects.create(code="Q", name="Quay Nine")

    demo_database.prepare(lambda _line: None)

    assert commands == ["migrate", "load_demo"]
