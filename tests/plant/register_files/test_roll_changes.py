"""Roll changes from a file: by group and set, with the roll the set really has."""

from datetime import date

import pytest

from plant.models import Component, Plant, RollChange, User
from plant.roles import Role
from tests.plant import roll_rows
from tests.plant.factories import make_complete_conveyor, make_person, make_plant
from tests.plant.register_files.imports import csv_of, send, take_in, verdicts_of

pytestmark = pytest.mark.django_db
HEADER = "Conveyor;Component;Set;Roll;Changed;Why;New roll\n"


@pytest.fixture
def plant() -> Plant:
    plant = make_plant()
    make_complete_conveyor(plant, tag="CV-1")
    return plant


@pytest.fixture
def by(plant: Plant) -> User:
    return make_person(Role.PLANNER, plants=[plant])


def test_changes_are_taken_in_and_can_be_taken_back_together(plant: Plant, by: User):
    rows = (
        "CV-1;c;12;Left wing;5.1.2026;Noisy bearing;133 mm\n"
        "cv-1;C;13;centre;2026-01-06;shell worn;\n"
        "CV-1;R;3;centre;2026-01-06;other;\n"
    )

    take_in(plant, by, (HEADER + rows).encode())

    kept = RollChange.objects.order_by("changed_on", "set_number")
    assert [(one.set_name, one.roll, one.changed_on, one.why) for one in kept] == [
        ("C12", "left_wing", date(2026, 1, 5), "noisy_bearing"),
        ("R3", "centre", date(2026, 1, 6), "other"),
        ("C13", "centre", date(2026, 1, 6), "shell_worn"),
    ]
    assert {one.kept_by for one in kept} == {by}
    assert len({one.together for one in kept}) == 1


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("CV-1;C;61;centre;2026-01-05;other;", "no_such_set"),
        ("CV-1;C;;centre;2026-01-05;other;", "set_needed"),
        ("CV-1;C;5;left inner;2026-01-05;other;", "no_such_roll"),
        ("CV-1;R;5;left wing;2026-01-05;other;", "no_such_roll"),
        ("CV-1;Head pulley;1;centre;2026-01-05;other;", "no_such_roll"),
        ("CV-1;D;5;centre;2026-01-05;other;", "unknown_component"),
        ("CV-1;;5;centre;2026-01-05;other;", "component_needed"),
        ("CV-2;C;5;centre;2026-01-05;other;", "unknown_conveyor"),
        ("CV-1;C;5;top;2026-01-05;other;", "not_a_choice"),
        ("CV-1;C;5;centre;2199-01-05;other;", "day_to_come"),
        ("CV-1;I;5;centre;2024-01-05;other;", "group_fitted_later"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(plant: Plant, by: User, row: str, code: str):
    Component.objects.filter(name="I").update(fitted_on=date(2025, 1, 1))

    one = send(plant, by, (HEADER + row + "\n").encode())

    reasons = one.rows.get().reasons
    assert code in {reason[0] for reason in reasons}, reasons


def test_an_export_says_only_what_counts_and_comes_back_unchanged(plant: Plant, by: User):
    conveyor = plant.conveyors.get()
    roll_rows.change(conveyor, "5-6")
    gone = roll_rows.change(conveyor, "9")[0]
    RollChange.objects.filter(pk=gone.pk).update(set_number=None, stood_mm=18_000)
    undone = roll_rows.change(conveyor, "20")[0]
    RollChange.objects.filter(pk=undone.pk).update(undone_at="2026-03-11T08:00Z")

    table = csv_of(plant, "rolls")

    assert table.count(b"\n") == 4
    assert b"C9" in table
    assert verdicts_of(send(plant, by, table)) == ["unchanged"] * 3


def test_a_reason_that_was_wrong_is_changed_by_a_file(plant: Plant, by: User):
    roll_rows.change(plant.conveyors.get(), "5")

    take_in(plant, by, (HEADER + "CV-1;C;5;left wing;2026-03-10;seized;\n").encode())

    assert RollChange.objects.get().why == "seized"
