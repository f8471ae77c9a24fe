"""What is exported comes back unchanged, and makes the same register where there is none."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from plant.loop.condition import Quantity
from plant.loop.rolls import WhyChanged, rolls_of
from plant.loop.vocabulary import ComponentKind, Consequence, Run, TakeUpKind
from plant.models import (
    Belt,
    BeltMark,
    Component,
    ConditionReading,
    Conveyor,
    Plant,
    RollChange,
    Splice,
)
from plant.register_files.cells import lines_of
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, make_plant
from tests.plant.register_files.imports import (
    csv_of,
    every_csv,
    send,
    take_in,
    verdicts_of,
    workbook_of,
)

pytestmark = pytest.mark.django_db

_LETTERS = st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp"))
_TRICKY = st.sampled_from(
    [
        "=1+1",
        "+44 20",
        "-",
        "@home",
        "'=x",
        "''-y",
        '12" pulley',
        "a;b,c\td",
        "# no",
        "1,5",
        "é ß 帯",
    ]
)


def _text(most: int) -> st.SearchStrategy[str]:
    said = st.text(_LETTERS, max_size=most).map(lambda one: " ".join(one.split()))
    return _TRICKY | said.filter(lambda one: len(one) <= most)


_LINES = st.lists(_text(30), max_size=3).map("\r\n".join).map(str.strip)


def _figures(least: float, most: float) -> st.SearchStrategy[float]:
    # Workbooks keep fifteen digits, whoever writes them.
    return st.floats(least, most).map(lambda one: float(f"{one:.12g}"))


_FIGURE = _figures(1, 5000)
_DAYS = st.dates(date(1990, 1, 1), date(2025, 12, 31))
_MAYBE_DAY = st.none() | _DAYS
_TAG = st.from_regex(r"[A-Z][A-Z0-9-]{0,8}", fullmatch=True)
# Across both changes of the clocks, to the second.
_FIRST = datetime(2024, 1, 1, tzinfo=UTC)
_INSTANTS = st.integers(0, 2 * 365 * 86_400).map(lambda one: _FIRST + timedelta(seconds=one))


@st.composite
def _conveyors(draw: Any) -> dict[str, Any]:
    return {
        "tag": draw(_TAG),
        "name": draw(_text(60).filter(bool)),
        "nicknames": draw(
            st.lists(
                st.text("abc xyz=", min_size=1, max_size=9).map(lambda one: " ".join(one.split())),
                max_size=3,
                unique=True,
            ).map(lambda names: [name for name in names if name])
        ),
        "isolation_points": draw(
            st.lists(_text(30).filter(bool), max_size=3).map("\n".join).map(lines_of)
        ),
        "area": draw(_text(40)),
        "centre_distance_m": draw(_FIGURE),
        "lift_m": draw(_figures(-200, 200)),
        "speed_mps": draw(_figures(0.01, 20)),
        "capacity_tph": draw(st.none() | _FIGURE),
        "take_up_kind": draw(st.sampled_from(TakeUpKind)).value,
        "is_reversing": draw(st.booleans()),
        "consequence": draw(st.sampled_from(["", *(one.value for one in Consequence)])),
        "hour_costs": draw(st.none() | st.decimals(0, 99999, places=2)),
        "left_words": draw(st.sampled_from(["", "sea side", "=side"])),
        "note": draw(_LINES),
        "retired_on": draw(_MAYBE_DAY),
    }


@st.composite
def _components(draw: Any) -> list[dict[str, Any]]:
    """Idler groups one after the other and a pulley, not always a whole loop."""
    rows, at_m = [], Decimal("1.000")
    for number in range(draw(st.integers(0, 4))):
        count = draw(st.integers(1, 6))
        spacing_m = Decimal(str(draw(st.integers(200, 3000)) / 1000)).quantize(Decimal("0.001"))
        rows.append(
            {
                "name": f"{draw(st.sampled_from(['=G', 'C', '-R', 'Ünit']))}{number}.",
                "kind": ComponentKind.TROUGHING_IDLERS.value,
                "run": Run.CARRYING.value,
                "first_m": at_m,
                "count": count,
                "spacing_m": spacing_m,
                "is_numbered": draw(st.booleans()),
                "set_prefix": draw(st.sampled_from(["", f"=S{number}-"])),
                "first_number": draw(st.integers(1, 99_000)),
                "rolls_per_set": draw(st.none() | st.integers(1, 5)),
                "fitted_on": draw(_MAYBE_DAY),
                "note": draw(_LINES),
            }
        )
        at_m += spacing_m * count + 1
    if draw(st.booleans()):
        pulley = {"diameter_mm": draw(_figures(200, 2000)), "wrap_deg": draw(_figures(1, 210))}
        rows.append(
            {
                "name": "Head",
                "kind": ComponentKind.HEAD_PULLEY.value,
                "run": Run.CARRYING.value,
                "first_m": at_m + 10,
                **pulley,
            }
        )
    return rows


@st.composite
def _belts(draw: Any) -> list[dict[str, Any]]:
    """Old belts that are told apart by name or day, and perhaps one that is on."""
    rows = []
    for number in range(draw(st.integers(0, 2))):
        fitted = draw(_MAYBE_DAY)
        removed = (fitted or date(2000, 1, 1)) + timedelta(days=draw(st.integers(0, 90)))
        name = draw(st.sampled_from(["", f"Old {number}", f"=Old {number}"]))
        rows.append({"name": name, "fitted_on": fitted, "removed_on": removed})
    if draw(st.booleans()):
        rows.append({"name": draw(_text(30)), "fitted_on": draw(_MAYBE_DAY), "removed_on": None})
    told_apart = {(row["name"].casefold(), row["fitted_on"], row["removed_on"]) for row in rows}
    rows = rows if len(told_apart) == len(rows) else rows[:1]
    return [
        {**row, "width_mm": draw(_figures(100, 4000)), "length_m": draw(_figures(50, 900))}
        for row in rows
    ]


def _build(plant: Plant, data: Any) -> None:
    conveyors = st.lists(_conveyors(), min_size=1, max_size=3, unique_by=lambda one: one["tag"])
    for values in data.draw(conveyors):
        conveyor = Conveyor.objects.create(plant=plant, **values)
        for row in data.draw(_components()):
            component = Component.objects.create(conveyor=conveyor, **row)
            _read(conveyor, data, Quantity.BEARING_TEMPERATURE, component=component)
            _change_rolls(component, data)
        for row in data.draw(_belts()):
            belt = Belt.objects.create(conveyor=conveyor, **row)
            _read(conveyor, data, Quantity.CARRY_COVER_THICKNESS, belt=belt)
            _mark(belt, data)


def _read(conveyor: Conveyor, data: Any, quantity: Quantity, **owner: Any) -> None:
    for taken_at in data.draw(st.lists(_INSTANTS, max_size=2, unique=True)):
        ConditionReading.objects.create(
            conveyor=conveyor,
            quantity=quantity.value,
            value=data.draw(_figures(-50, 200)),
            taken_at=taken_at,
            spot=data.draw(_text(20)),
            taken_by=data.draw(_text(20)),
            note=data.draw(_text(60)),
            **owner,
        )


def _change_rolls(component: Component, data: Any) -> None:
    """Of sets that stand and of one that was taken out."""
    rolls = rolls_of(component.as_part(), component.conveyor.trough_angle_deg)
    if not rolls:
        return
    sets = st.lists(st.none() | st.integers(1, component.count), max_size=2, unique=True)
    for number in data.draw(sets):
        RollChange.objects.create(
            conveyor=component.conveyor,
            component=component,
            set_number=number,
            set_name="" if number else data.draw(_text(20).filter(bool)),
            roll=data.draw(st.sampled_from(rolls)).value,
            changed_on=max(data.draw(_DAYS), component.fitted_on or _FIRST.date()),
            why=data.draw(st.sampled_from(WhyChanged)).value,
            fitted=data.draw(_text(20)),
            note=data.draw(_text(60)),
        )


def _mark(belt: Belt, data: Any) -> None:
    places = st.lists(_figures(0, 49), max_size=3, unique_by=lambda one: round(one, 6))
    for number, at_m in enumerate(data.draw(places)):
        note = data.draw(_text(60))
        Splice.objects.create(belt=belt, name=f"=S{number}", belt_position_m=at_m, note=note)
        BeltMark.objects.create(
            belt=belt,
            kind=data.draw(st.sampled_from(BeltMark.Kind)),
            belt_position_m=at_m,
            length_m=data.draw(st.none() | _figures(0, 10)),
            side=data.draw(st.sampled_from(["", "left", "right"])),
            seen_on=data.draw(_MAYBE_DAY),
        )


_generated = settings(
    max_examples=12,
    # Shrinking a register takes minutes; what failed is small enough to read.
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
_ZONES = ("UTC", "Europe/Lisbon", "America/St_Johns")


@_generated
@given(data=st.data())
def test_an_exported_register_is_unchanged_when_it_comes_back(data: Any, db: None):
    plant = make_plant(time_zone=data.draw(st.sampled_from(_ZONES)))
    by = make_person(Role.PLANNER, plants=[plant])
    _build(plant, data)

    for content in (workbook_of(plant), *every_csv(plant)):
        if content.count(b"\n") == 1:
            # A sheet without rows.
            continue
        one = send(plant, by, content)

        assert set(verdicts_of(one)) == {"unchanged"}, list(one.rows.values())


@_generated
@given(data=st.data())
def test_an_export_makes_the_same_register_where_there_is_none(data: Any, db: None):
    plant = make_plant(time_zone=data.draw(st.sampled_from(_ZONES)))
    by = make_person(Role.PLANNER, plants=[plant])
    _build(plant, data)
    book, tables = workbook_of(plant), every_csv(plant)

    Conveyor.objects.filter(plant=plant).delete()
    take_in(plant, by, book)

    assert every_csv(plant) == tables


def test_tables_as_text_make_the_same_register_one_after_the_other():
    plant = make_plant()
    by = make_person(Role.PLANNER, plants=[plant])
    make_complete_conveyor(plant)
    tables = [table for table in every_csv(plant) if table.count(b"\n") > 1]

    Conveyor.objects.filter(plant=plant).delete()
    for table in tables:
        take_in(plant, by, table)

    assert [table for table in every_csv(plant) if table.count(b"\n") > 1] == tables
    assert csv_of(plant, "components").count(b"\n") == 12
