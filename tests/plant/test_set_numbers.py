"""Numbered groups whose sets begin at another number than 1, or go by another name."""

import pytest

from diagnostics.inference.pocket.belt import nodes_told
from diagnostics.mechanics.nodes import lay_nodes
from plant.loop.parts import GeometryError, Part, check_part
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Component
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.plant.loops import changed, short_loop
from tests.plant.register_site import address, client_of

K = ComponentKind


def test_sets_are_called_by_their_prefix_and_counted_from_the_first_number():
    part = Part("C21…", K.TROUGHING_IDLERS, Run.CARRYING, 30.0, 1.2, 3, is_numbered=True,
                set_prefix="C", first_number=21)  # fmt: skip

    assert [one.name for one in part.stations()] == ["C21", "C22", "C23"]


def test_numbers_of_two_groups_of_one_prefix_may_not_meet():
    onward = Part("C more", K.TROUGHING_IDLERS, Run.CARRYING, 19.0, 0.5, 2, is_numbered=True,
                  set_prefix="C", first_number=12)  # fmt: skip

    with pytest.raises(GeometryError, match="C12 is used twice"):
        build_loop([*short_loop(), onward])

    loop = build_loop([*changed("C", count=11), onward])
    assert loop.station_named("c13").position_m == 19.5


def test_numbers_begin_at_one_or_above():
    part = Part("C", K.TROUGHING_IDLERS, Run.CARRYING, 30.0, 1.2, 3, is_numbered=True)

    with pytest.raises(GeometryError) as refused:
        check_part(Part(**{**part.__dict__, "first_number": 0}))

    assert refused.value.field == "first_number"


def test_a_telephone_is_told_the_names_the_register_says():
    onward = Part("C more", K.TROUGHING_IDLERS, Run.CARRYING, 19.0, 0.5, 2, is_numbered=True,
                  set_prefix="C", first_number=31)  # fmt: skip
    loop = build_loop([*short_loop(), onward])

    header, _arrays = nodes_told(loop, lay_nodes(loop))

    told = [
        f"{prefix}{first + number}"
        for prefix, first, count, _kind, _run in header["rolls"]["names"]
        for number in range(count)
    ]
    assert {"C12", "C31", "C32"} <= set(told)
    assert "C33" not in told
    assert "C more1" not in told


@pytest.mark.django_db
def test_the_first_number_is_kept_by_the_form_and_shown_on_the_sheet():
    conveyor = make_complete_conveyor(make_plant(), tag="Q30")
    client = client_of(Role.ADMINISTRATOR, conveyor.plant)
    form = {
        "name": "Beyond", "kind": "return_idlers", "run": "return", "first_m": "205",
        "count": "2", "spacing_m": "1", "is_numbered": "on", "set_prefix": "Q",
        "first_number": "18",
    }  # fmt: skip

    client.post(address(conveyor, "component-new"), form)

    kept = Component.objects.get(name="Beyond")
    assert (kept.set_prefix, kept.first_number, kept.last_number) == ("Q", 18, 19)
    assert "Q18…19" in client.get(address(conveyor)).content.decode()
    wrong = client.post(address(conveyor, "component-new"), {**form, "first_number": "-3"})
    assert wrong.status_code == 400
