"""Files are compared, then taken in whole or not at all, by the register's own rules."""

from typing import Any

import pytest
from django.utils import timezone

from plant import signals
from plant.import_words import ROWS, in_words
from plant.loop.condition import Quantity
from plant.models import (
    Belt,
    Component,
    ComponentChange,
    ConditionReading,
    Conveyor,
    Plant,
    RegisterImport,
    Splice,
    User,
)
from plant.roles import Role
from plant.services import importing, keeping_components
from plant.services.import_work import ImportRefused
from tests.plant.factories import make_complete_conveyor, make_conveyor, make_person, make_plant
from tests.plant.register_files.imports import reasons_of, send, take_in, verdicts_of

pytestmark = pytest.mark.django_db
State = RegisterImport.State


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def by(plant: Plant) -> User:
    return make_person(Role.PLANNER, plants=[plant])


def _refused(plant: Plant, by: User, text: str) -> list[tuple[str, str]]:
    """The reasons of the rows that are refused, by code and column."""
    one = send(plant, by, text.encode())
    assert one.state == State.READ, one.refusal
    return [(code, column) for _s, _n, told in reasons_of(one) for code, column, _v in told]


def test_changed_rows_say_old_and_new(plant: Plant, by: User):
    make_conveyor(plant, tag="CV-7", speed_mps=2.5, area="Quay")
    one = send(plant, by, b"speed (ft/min);TAG;centre distance;name\n500;cv-7;328,08 ft;West\n")

    row = one.rows.get()
    assert row.verdict == "changed", row.reasons
    assert row.tag == "CV-7"
    assert ["speed_mps", 2.5, 2.54] in row.changes
    # What the file has no column for stays.
    take_in(plant, by, b"speed (ft/min);TAG;centre distance\n500;cv-7;328,08 ft\n")
    assert Conveyor.objects.get(tag="CV-7").area == "Quay"


def test_an_empty_cell_clears_and_a_missing_column_does_not(plant: Plant, by: User):
    make_conveyor(plant, tag="CV-7", area="Quay", carries="coal", lift_m=4)

    take_in(plant, by, b"Tag,Name,Belt speed,Centre distance,Area,Lift\nCV-7,W,2.5,100,,\n")

    kept = Conveyor.objects.get(tag="CV-7")
    assert (kept.area, kept.carries, kept.lift_m) == ("", "coal", 0)


def test_the_same_file_twice_changes_nothing_twice(plant: Plant, by: User):
    table = b"Tag,Name,Belt speed,Centre distance\nCV-1,One,2,100\nCV-2,Two,2,100\n"
    take_in(plant, by, table)
    before = list(Conveyor.objects.values())

    again = send(plant, by, table)

    assert verdicts_of(again) == ["unchanged", "unchanged"]
    with pytest.raises(ImportRefused, match="nothing_to_do"):
        importing.ask_apply(import_id=again.pk, by=by, now=timezone.now())
    assert list(Conveyor.objects.values()) == before


def test_apply_pressed_twice_takes_in_once(plant: Plant, by: User):
    one = send(plant, by, b"Tag,Name,Belt speed,Centre distance\nCV-1,One,2,100\n")

    importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    again = importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())

    assert again.state == State.APPLIED
    assert Conveyor.objects.filter(plant=plant).count() == 1


def test_one_refused_row_keeps_all_out(plant: Plant, by: User):
    one = send(plant, by, b"Tag,Name,Belt speed,Centre distance\nCV-1,One,2,100\nCV-2,Two,99,1\n")

    assert verdicts_of(one) == ["new", "refused"]
    with pytest.raises(ImportRefused, match="rows_refused"):
        importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    assert not Conveyor.objects.filter(plant=plant).exists()


def test_nothing_is_taken_in_when_the_register_changed_meanwhile(plant: Plant, by: User):
    conveyor = make_complete_conveyor(plant, tag="CV-1")
    one = send(
        plant, by, b"Conveyor,Name,Kind,Run,Loop position\nCV-1,Clean,belt cleaner,return,103\n"
    )
    skirts = conveyor.components.get(name="Skirts")
    keeping_components.remove_component(conveyor_id=conveyor.pk, component_id=skirts.pk, by=by)

    with pytest.raises(ImportRefused, match="register_changed"):
        importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())

    assert not conveyor.components.filter(name="Clean").exists()
    again = importing.read_again(import_id=one.pk, now=timezone.now())
    assert again.state == State.READ
    importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    assert conveyor.components.filter(name="Clean").exists()


def test_a_conveyor_made_meanwhile_keeps_the_file_out(plant: Plant, by: User):
    one = send(plant, by, b"Tag,Name,Belt speed,Centre distance\nCV-1,One,2,100\n")
    make_conveyor(plant, tag="cv-1")

    with pytest.raises(ImportRefused, match="register_changed"):
        importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())


def test_groups_that_change_places_and_names_are_taken_in(plant: Plant, by: User):
    conveyor = make_complete_conveyor(plant, tag="CV-1")
    table = (
        "Conveyor,Name,Kind,Run,Loop position,Count,Spacing,Numbered group\n"
        "CV-1,R,return idlers,return,153,17,3,yes\n"
        "CV-1,Q,return idlers,return,105,10,3,yes\n"
    )

    take_in(plant, by, table.encode())

    places = dict(conveyor.components.filter(name__in="RQ").values_list("name", "first_m"))
    assert places == {"R": 153, "Q": 105}
    assert conveyor.components.get(name="R").version == 2
    # The history knows where each went, and of no stop on the way.
    kinds = ComponentChange.objects.filter(conveyor=conveyor).values_list("kind", "name")
    assert not [name for _kind, name in kinds if "\x1a" in name]
    assert ComponentChange.objects.filter(pgh_context__person=by.pk, name="R").count() == 1


def test_rooms_above_hear_of_each_conveyor_once(plant: Plant, by: User):
    conveyor = make_complete_conveyor(plant, tag="CV-1")
    heard: list[Any] = []

    def hear(conveyor: Conveyor, **_more: Any) -> None:
        heard.append(conveyor.pk)

    signals.register_changed.connect(hear)
    try:
        table = "Conveyor,Name,Kind,Run,Loop position\n" + "".join(
            f"CV-1,Plough {at},plough,return,{at}\n" for at in (106.5, 109.5, 112.5)
        )
        take_in(plant, by, table.encode())
        header = "Conveyor,Component,Quantity,Value,Taken\n"
        read = "CV-1,Head pulley,lagging thickness,9,2026-01-05\n"
        take_in(plant, by, (header + read).encode())
    finally:
        signals.register_changed.disconnect(hear)

    assert heard == [conveyor.pk]


def test_a_belt_comes_off_and_another_goes_on_in_one_file(plant: Plant, by: User):
    conveyor = make_complete_conveyor(plant, tag="CV-1")
    belts = (
        "Conveyor,Name,Width,Length,Fitted,Taken off\n"
        "CV-1,Belt of 2026,1000,211,2026-03-01,\n"
        "CV-1,Belt of 2024,1000,210.5,,2026-03-01\n"
    )

    take_in(plant, by, belts.encode())
    take_in(plant, by, b"Conveyor,Splice,Belt position\nCV-1,N1,0\n")

    fitted = Belt.objects.get(conveyor=conveyor, removed_on=None)
    assert fitted.name == "Belt of 2026"
    assert Splice.objects.get(name="N1").belt == fitted


def test_readings_come_in_the_units_they_were_taken_in(plant: Plant, by: User):
    make_complete_conveyor(plant, tag="CV-1")
    table = (
        "Conveyor;Component;Belt;Set;Quantity;Value;Unit;Taken;By\n"
        'CV-1;head pulley;;;Lagging Thickness;0,5";;5.1.2026;Reyes\n'
        "CV-1;C;;17;bearing temperature;140;°F;2026-01-05 14:30;\n"
        "CV-1;;;;carry cover thickness;6,5;mm;2026-01-05;\n"
    )

    take_in(plant, by, table.encode())

    read = {one.quantity: one for one in ConditionReading.objects.all()}
    assert read[Quantity.LAGGING_THICKNESS].value == pytest.approx(12.7)
    assert read[Quantity.BEARING_TEMPERATURE].value == pytest.approx(60)
    assert read[Quantity.BEARING_TEMPERATURE].set_number == 17
    assert read[Quantity.CARRY_COVER_THICKNESS].belt.name == "Belt of 2024"
    assert read[Quantity.LAGGING_THICKNESS].taken_at.hour == 12


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("CV-2,X,plough,return,106", ("unknown_conveyor", "")),
        ("CV-1,X,plogh,return,106", ("not_a_choice", "C “Kind”")),
        ("CV-1,X,plough,return,106 kg", ("wrong_unit", "E “Loop position”")),
        ("CV-1,X,plough,return,999", ("geometry", "Loop position")),
        ("CV-1,X,troughing idlers,carrying,7", ("geometry", "Loop position")),
        ("CV-1,X,head pulley,carrying,99", ("geometry", "Diameter")),
        ("CV-1,,plough,return,106", ("needed", "B “Name”")),
        ("CV-1,X,plough,return,nan", ("not_a_number", "E “Loop position”")),
        ("CV-1,X,plough,return,-5", ("said", "Loop position")),
        (f"CV-1,{'X' * 41},plough,return,106", ("said", "Name")),
        ("CV-1,X,plough,return,106,,,extra", ("row_too_long", "")),
    ],
)
def test_components_that_cannot_be_are_refused_with_the_column(
    row: str, reason: tuple[str, str], plant: Plant, by: User
):
    make_complete_conveyor(plant, tag="CV-1")

    assert reason in _refused(plant, by, f"Conveyor,Name,Kind,Run,Loop position\n{row}\n")


def test_a_wrong_tag_is_answered_with_the_nearest_known(plant: Plant, by: User):
    make_conveyor(plant, tag="CV-104")
    make_conveyor(make_plant(), tag="CV-1O4")
    one = send(plant, by, b"Conveyor,Name,Kind,Run,Loop position\nCV-1O4,X,plough,return,9\n")

    reasons = one.rows.get().reasons
    assert reasons[0][2] == {"tag": "CV-1O4", "near": "CV-104"}


def test_rows_of_another_plant_are_refused(plant: Plant, by: User):
    make_conveyor(plant, tag="CV-1")
    table = "Plant,Conveyor,Name,Kind,Run,Loop position\nXX,CV-1,X,plough,return,9\n"

    assert _refused(plant, by, table) == [("other_plant", "")]


def test_the_same_row_twice_is_refused(plant: Plant, by: User):
    table = "Tag,Name,Belt speed,Centre distance\nCV-1,One,2,100\nCV-1,One,2,100\n"

    assert _refused(plant, by, table) == [("row_twice", "")]


@pytest.mark.parametrize(
    ("table", "code"),
    [
        ("Conveyor,Name,Width,Length\nCV-1,Second,1000,99\n", "belt_is_fitted"),
        ("Conveyor,Name,Width,Length\nCV-1,Belt of 2024,1000,50\n", "belt_too_short"),
        ("Conveyor,Name,Width,Length,Taken off\nCV-1,O,900,9,2999-01-01\n", "unlikely_date"),
        ("Conveyor,Name,Width,Length,Taken off\nCV-1,O,900,9,2199-01-01\n", "day_to_come"),
        (
            "Conveyor,Name,Width,Length,Fitted,Taken off\nCV-1,O,9e2,9,2020-02-01,2020-01-01\n",
            "removed_before_fitted",
        ),
        ("Conveyor,Splice,Belt position\nCV-1,S9,210.5\n", "past_belt"),
        ("Conveyor,Splice,Belt position\nCV-1,S9,105\n", "splice_stands_there"),
        ("Conveyor,Belt,Splice,Belt position\nCV-1,Nobody,S9,5\n", "unknown_belt"),
        ("Conveyor,Mark,Belt position,Length\nCV-1,tear,5,300\n", "longer_than_belt"),
    ],
)
def test_belting_that_cannot_be_is_refused(table: str, code: str, plant: Plant, by: User):
    make_complete_conveyor(plant, tag="CV-1")

    assert code in [told for told, _column in _refused(plant, by, table)]


def test_a_stop_before_anybody_began_leaves_the_register(plant: Plant, by: User):
    rows = "".join(f"CV-{n},One,2,100\n" for n in range(2100))
    one = send(plant, by, ("Tag,Name,Belt speed,Centre distance\n" + rows).encode())
    importing.do_owed()
    importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    one.refresh_from_db()
    assert one.state == State.TO_APPLY

    importing.ask_stop(import_id=one.pk, now=timezone.now())
    importing.do_owed()

    one.refresh_from_db()
    assert one.state == State.READ
    assert not Conveyor.objects.filter(plant=plant).exists()


def test_a_stop_half_way_undoes_what_was_written(plant: Plant, by: User, monkeypatch: Any):
    rows = "".join(f"CV-{n},One,2,100\n" for n in range(2100))
    one = send(plant, by, ("Tag,Name,Belt speed,Centre distance\n" + rows).encode())
    importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    # Asked once the work has begun: between two ticks.
    monkeypatch.setattr("plant.services.import_progress._EVERY_S", 0.0)
    monkeypatch.setattr("plant.services.import_progress._outside", lambda work: None)
    RegisterImport.objects.filter(pk=one.pk).update(stop_asked_at=timezone.now())

    importing.do_owed()

    one.refresh_from_db()
    assert one.state == State.READ
    assert one.stop_asked_at is None
    assert not Component.objects.filter(conveyor__plant=plant).exists()
    assert not Conveyor.objects.filter(plant=plant).exists()


def test_a_misspelt_kind_is_answered_with_the_nearest_known_one(plant: Plant, by: User):
    make_complete_conveyor(plant, tag="CV-1")
    one = send(
        plant, by, b"Conveyor,Name,Kind,Run,Loop position\nCV-1,X,plogh,return,106\nCV-1,Y,?,,\n"
    )

    said = [in_words(ROWS, reason) for _s, _n, told in reasons_of(one) for reason in told]
    assert [text for text in said if text.endswith("Perhaps plough?")]
    assert len([text for text in said if "is not known here" in text]) == 2
    assert len([text for text in said if "Perhaps" in text]) == 1
