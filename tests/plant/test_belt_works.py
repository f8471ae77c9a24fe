"""Work on a belt: asked first, done in one piece, kept, undone while nothing came after it."""

from datetime import date

import pytest
from django.test import Client

from plant.models import Belt, BeltWork, Conveyor
from plant.roles import Role
from plant.services import keeping_belts
from tests.plant.belt_pages import (
    CUT,
    TODAY,
    do,
    make_marked_conveyor,
    marks,
    page,
    planner_of,
    splices,
    sure,
)
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    return make_marked_conveyor()


@pytest.fixture
def belt(conveyor) -> Belt:
    return conveyor.belts.get()


@pytest.fixture
def planner(conveyor) -> Client:
    return planner_of(conveyor)


def test_what_would_move_is_shown_and_nothing_is_changed(belt, planner):
    shown = planner.post(page(belt, "belt-section-cut-out"), CUT)

    moved = {(one.name, one.after and one.after.position_m) for one in shown.context["moves"]}
    assert moved == {
        ("S1", 0.0),
        ("S2", 94.5),
        ("S3", 20.0),
        ("edge damage", 20.0),
        ("repair", None),
        ("tear", 139.5),
    }
    assert splices(belt) == {"S1": 0, "S2": 105}
    assert not BeltWork.objects.exists()


def test_a_section_is_cut_out_and_that_is_kept(belt, planner):
    response = do(planner, belt, "belt-section-cut-out", CUT)

    assert response.status_code == 302
    belt.refresh_from_db()
    assert belt.length_m == 200
    assert splices(belt) == {"S1": 0, "S3": 20, "S2": 94.5}
    assert belt.splices.get(name="S3").made_on == TODAY
    # The damage from 28 to 34 m lost what lay before 30.5 m.
    assert marks(belt) == [("edge damage", 20, 3.5, "left"), ("tear", 139.5, None, "right")]
    work = belt.works.get()
    assert (work.kind, work.note, str(work.kept_by)) == ("section cut out", "burnt", "Odile")
    text = planner.get(page(belt, "belt")).content.decode()
    assert "cut out from 20 m to 30.5 m, joined by splice S3" in text
    assert "burnt" in text


def test_a_section_is_put_in_and_a_mark_across_becomes_two(belt, planner):
    asked = {"at_m": "30", "length_m": "12", "name": "S3", "second_name": "S4", "done_on": TODAY}

    do(planner, belt, "belt-section-put-in", asked)

    belt.refresh_from_db()
    assert belt.length_m == 222.5
    assert splices(belt) == {"S1": 0, "S3": 30, "S4": 42, "S2": 117}
    assert marks(belt) == [
        ("repair", 25, None, ""),
        ("edge damage", 28, 2, "left"),
        ("edge damage", 42, 4, "left"),
        ("tear", 162, None, "right"),
    ]
    assert set(belt.marks.filter(kind="edge damage").values_list("note", flat=True)) == {"frayed"}


def test_a_section_put_in_at_a_splice_needs_one_new_name(belt, planner):
    asked = {"at_m": "105", "length_m": "12", "second_name": "S4", "done_on": TODAY}

    do(planner, belt, "belt-section-put-in", asked)

    assert splices(belt) == {"S1": 0, "S2": 105, "S4": 117}


def test_a_section_put_in_elsewhere_needs_two(belt, planner):
    asked = {"at_m": "50", "length_m": "12", "second_name": "S4", "done_on": TODAY}

    response = planner.post(page(belt, "belt-section-put-in"), asked)

    assert response.status_code == 409
    assert "give the new one a name" in response.context["form"].errors["name"][0]


def test_a_splice_is_made(belt, planner):
    do(planner, belt, "belt-spliced", {"at_m": "60.25", "name": "S3", "done_on": TODAY})

    assert splices(belt) == {"S1": 0, "S3": 60.25, "S2": 105}


def test_positions_are_counted_from_another_splice(belt, planner):
    other = belt.splices.get(name="S2")

    do(planner, belt, "belt-reference-moved", {"splice": other.pk, "done_on": TODAY})

    assert splices(belt) == {"S2": 0, "S1": 105.5}
    assert marks(belt)[0] == ("tear", 45, None, "right")
    assert "positions counted from splice S2" in planner.get(page(belt, "belt")).content.decode()


def test_a_belt_turned_end_for_end_has_its_marks_on_the_other_side(belt, planner):
    asked = {"how": "end for end without turning over", "done_on": TODAY}

    do(planner, belt, "belt-turned", asked)

    assert splices(belt) == {"S1": 0, "S2": 105.5}
    assert marks(belt) == [
        ("tear", 60.5, None, "left"),
        ("edge damage", 176.5, 6, "right"),
        ("repair", 185.5, None, ""),
    ]


def test_the_last_work_is_undone_to_the_letter(belt, planner):
    stood = (splices(belt), marks(belt), list(belt.splices.values_list("pk", flat=True)))
    do(planner, belt, "belt-section-cut-out", CUT)
    work = belt.works.get()

    response = planner.post(page(belt, "belt-work-undo", work.pk))

    assert response.status_code == 302
    belt.refresh_from_db()
    assert belt.length_m == 210.5
    assert stood == (splices(belt), marks(belt), list(belt.splices.values_list("pk", flat=True)))
    work.refresh_from_db()
    assert work.undone_at is not None
    assert "undone" in planner.get(page(belt, "belt")).content.decode()


def test_several_works_are_undone_one_after_the_other(belt, planner):
    stood = (splices(belt), marks(belt))
    asked = {"how": "over end for end", "done_on": TODAY}
    do(planner, belt, "belt-section-cut-out", CUT)
    do(planner, belt, "belt-turned", asked)
    last, first = belt.works.all()

    refused = planner.post(page(belt, "belt-work-undo", first.pk))
    planner.post(page(belt, "belt-work-undo", last.pk))
    planner.post(page(belt, "belt-work-undo", first.pk))

    assert refused.status_code == 409
    assert stood == (splices(belt), marks(belt))


def test_what_was_changed_after_a_work_is_not_lost_by_undoing_it(belt, planner):
    do(planner, belt, "belt-section-cut-out", CUT)
    belt.marks.filter(kind="tear").update(note="grew")

    response = planner.post(page(belt, "belt-work-undo", belt.works.get().pk))

    assert response.status_code == 409
    assert "changed after that" in response.content.decode()
    assert belt.marks.get(kind="tear").note == "grew"


def test_a_belt_changed_meanwhile_is_shown_again_before_it_is_cut(belt, planner):
    shown = planner.post(page(belt, "belt-section-cut-out"), CUT)
    belt.splices.filter(name="S2").update(belt_position_m=100)

    response = planner.post(page(belt, "belt-section-cut-out"), sure(CUT, shown))

    assert response.status_code == 409
    assert "Look again" in response.content.decode()
    assert splices(belt) == {"S1": 0, "S2": 100}
    again = planner.post(page(belt, "belt-section-cut-out"), sure(CUT, response))
    assert again.status_code == 302


def test_nobody_cuts_without_having_looked(belt, planner):
    response = planner.post(page(belt, "belt-section-cut-out"), {**CUT, "sure": "1"})

    assert response.status_code == 409
    assert splices(belt) == {"S1": 0, "S2": 105}


def test_a_belt_is_replaced_in_one_step(belt, planner):
    asked = {
        "removed_on": TODAY.isoformat(),
        "width_mm": "1000",
        "length_m": "211",
        "carcass": "ST",
        "name": "Belt of 2026",
    }

    response = planner.post(page(belt, "belt-replace"), asked)

    new = belt.conveyor.belts.get(removed_on__isnull=True)
    assert response["Location"] == page(new, "belt")
    assert (new.name, new.length_m, new.fitted_on) == ("Belt of 2026", 211, TODAY)
    belt.refresh_from_db()
    assert belt.removed_on == TODAY
    assert splices(belt) == {"S1": 0, "S2": 105}
    assert [one.kind for one in belt.works.all()] == ["taken off"]
    assert [one.kind for one in new.works.all()] == ["fitted"]


def test_a_belt_that_is_off_is_not_worked_on(belt, planner):
    keeping_belts.take_off_belt(
        conveyor_id=belt.conveyor_id, belt_id=belt.pk, removed_on=TODAY, today=TODAY, by=None
    )
    shown = planner.post(page(belt, "belt-section-cut-out"), CUT)

    response = planner.post(page(belt, "belt-section-cut-out"), sure(CUT, shown))

    assert response.status_code == 409
    assert "only a fitted belt" in response.content.decode()


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN])
def test_who_does_not_keep_the_register_only_reads(belt, role):
    client = signed_in(make_person(role, plants=[belt.conveyor.plant]))

    read = client.get(page(belt, "belt"))
    asked = client.post(page(belt, "belt-section-cut-out"), {**CUT, "sure": "1"})

    assert read.status_code == 200
    assert page(belt, "belt-section-cut-out") not in read.content.decode()
    assert asked.status_code == 403


def test_the_belt_of_another_plant_is_not_there(belt):
    client = signed_in(make_person(Role.LEAD, plants=[make_plant()]))

    assert client.post(page(belt, "belt-section-cut-out"), CUT).status_code == 404


def test_another_belts_work_is_not_undone_from_here(belt, planner):
    other = make_complete_conveyor(belt.conveyor.plant).belts.get()
    do(planner, belt, "belt-section-cut-out", CUT)

    response = planner.post(page(other, "belt-work-undo", belt.works.get().pk))

    assert response.status_code == 404


def test_fitting_and_taking_off_are_kept_too(conveyor, belt):
    keys = {"conveyor_id": conveyor.pk, "belt_id": belt.pk, "by": None}
    keeping_belts.take_off_belt(**keys, removed_on=date(2026, 1, 2), today=TODAY)
    keeping_belts.put_belt_back(**keys)

    assert [one.kind for one in belt.works.order_by("pk")] == ["taken off", "put back"]
