"""What else hangs on idler sets follows them when rows are split, joined and removed."""

from datetime import UTC, datetime

import pytest

from diagnostics.models import Finding
from plant.loop.idler_changes import PutIn, Renumber, TakeOut
from plant.models import Component, ComponentChange, ConditionReading, Conveyor
from plant.selectors import idlers
from plant.services import keeping_idlers
from tests.diagnostics.factories import take
from tests.plant.factories import make_complete_conveyor

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 1, 8, tzinfo=UTC)


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor()


def change(conveyor: Conveyor, what: object) -> None:
    keeping_idlers.change_idlers(
        conveyor_id=conveyor.pk, change=what, stamp=idlers.stamp_of(conveyor), by=None
    )


def read(conveyor: Conveyor, set_number: int | None, spot: str = "left") -> ConditionReading:
    return ConditionReading.objects.create(
        conveyor=conveyor,
        component=conveyor.components.get(name="C"),
        set_number=set_number,
        spot=spot,
        quantity="roll_shell_thickness",
        value=4.0,
        taken_at=NOW,
    )


def name_of(reading: ConditionReading) -> str:
    """The set a reading is of, by its name."""
    reading.refresh_from_db()
    part = reading.component.as_part()
    return part.stations()[reading.set_number - 1].name


def test_readings_go_with_their_sets(conveyor: Conveyor):
    of_sets = {number: read(conveyor, number) for number in (5, 19, 21, 22, 60)}

    change(conveyor, TakeOut("C20"))

    assert {number: name_of(one) for number, one in of_sets.items()} == {
        number: f"C{number}" for number in of_sets
    }


def test_readings_next_to_each_other_close_up_without_getting_in_each_others_way(
    conveyor: Conveyor,
):
    of_sets = [read(conveyor, number) for number in (2, 3, 4)]

    change(conveyor, TakeOut("C1", is_renumbered=True))

    assert [name_of(one) for one in of_sets] == ["C1", "C2", "C3"]


def test_a_reading_of_a_set_taken_out_stays_and_says_which_it_was(conveyor: Conveyor):
    gone, whole = read(conveyor, 20), read(conveyor, None)

    change(conveyor, TakeOut("C20"))

    gone.refresh_from_db()
    whole.refresh_from_db()
    assert (gone.component.name, gone.set_number, gone.spot) == ("C", None, "C20 left")
    assert whole.component.name == "C"


def test_a_finding_on_a_row_that_goes_is_kept_with_its_sets(conveyor: Conveyor):
    change(conveyor, TakeOut("C20"))
    second = conveyor.components.get(set_prefix="C")
    case = take(conveyor).case
    finding = Finding.objects.create(
        case=case, cause="return_idler_skewed", is_present=True, component=second, found_at=NOW
    )

    change(conveyor, PutIn("C", 34_500, "C20"))

    finding.refresh_from_db()
    assert not Component.objects.filter(pk=second.pk).exists()
    assert finding.component == conveyor.components.get(name="C")


def test_rows_may_take_each_others_made_names(conveyor: Conveyor):
    change(conveyor, TakeOut("C20"))
    change(conveyor, TakeOut("C40"))
    change(conveyor, Renumber("C", 21, 41))

    rows = conveyor.components.filter(set_prefix="C")
    assert [(one.name, one.first_number, one.count) for one in rows] == [
        ("C41…", 41, 19),
        ("C61…", 61, 20),
    ]


def test_history_tells_what_became_of_the_rows_and_nothing_of_the_way_there(conveyor: Conveyor):
    row = conveyor.components.get(name="C")

    change(conveyor, TakeOut("C20"))

    told = ComponentChange.objects.filter(pgh_obj=row.pk).order_by("pgh_id")
    assert [(one.pgh_label, one.name, one.count) for one in told] == [
        ("added", "C", 60),
        ("changed", "C", 19),
    ]
