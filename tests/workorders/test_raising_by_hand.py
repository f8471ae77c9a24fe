"""Raising work that no case asked for."""

import pytest

from diagnostics import knowledge_files
from plant.models import Conveyor
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import WorkOrder
from workorders.order_origins import Origin
from workorders.services import raising_by_hand
from workorders.services.raising_by_hand import WorkWanted
from workorders.urgency import Urgency

pytestmark = pytest.mark.django_db


def by_hand(conveyor: Conveyor | None = None, **wanted: object) -> WorkOrder:
    return raising_by_hand.raise_by_hand(
        conveyor=conveyor or factories.make_conveyor(),
        wanted=WorkWanted(**{"title": "Renew the skirt rubber", **wanted}),
        by=None,
        now=NOW,
    )


def test_an_order_by_hand_has_no_case_but_cautions() -> None:
    order = by_hand(steps=("loosen the clamps", "change the rubber"))

    assert (order.case, order.hypothesis) == (None, None)
    assert order.cautions
    assert order.needs_isolation
    assert [step.what for step in order.steps.all()] == ["loosen the clamps", "change the rubber"]


def test_an_order_by_hand_takes_a_work_method_and_adds_own_steps_behind() -> None:
    method = knowledge_files.work_methods()["square-return-idlers"]

    order = by_hand(work_method=method.slug, steps=("paint the marks",))

    assert order.steps.count() == len(method.steps) + 1
    assert order.steps.last().what == "paint the marks"
    assert order.tools == list(method.tools)


def test_another_urgency_by_hand_needs_its_reason() -> None:
    with pytest.raises(raising_by_hand.UrgencyNeedsReason):
        by_hand(urgency=Urgency.STOP_NOW, urgency_why="  ")

    order = by_hand(urgency=Urgency.STOP_NOW, urgency_why="the bracket is torn")
    assert (order.urgency, order.urgency_why) == ("stop_now", "the bracket is torn")
    assert order.urgency_reasons


def test_a_place_on_an_unfinished_register_is_taken_as_said() -> None:
    order = by_hand(component="the old tower", position_m=12.5)

    assert (order.component, order.position_m, order.zone) == ("the old tower", 12.5, "")


@pytest.fixture
def complete_conveyor() -> Conveyor:
    conveyor = factories.make_conveyor()
    row = conveyor.components.create
    row(name="C", kind="troughing_idlers", run="carrying", first_m=3, spacing_m=1.2, count=70,
        is_numbered=True)  # fmt: skip
    row(name="HEAD", kind="head_pulley", run="carrying", first_m=100, diameter_mm=800, wrap_deg=180)
    row(name="R", kind="return_idlers", run="return", first_m=104, spacing_m=3, count=30,
        is_numbered=True)  # fmt: skip
    row(name="TAIL", kind="tail_pulley", run="return", first_m=201, diameter_mm=800, wrap_deg=180)
    return conveyor


def test_a_station_gives_position_and_zone(complete_conveyor: Conveyor) -> None:
    order = by_hand(complete_conveyor, component="head")

    assert (order.component, order.position_m, order.zone) == ("HEAD", 100.0, "head")


def test_an_unknown_station_is_refused_with_the_nearest_known(complete_conveyor: Conveyor) -> None:
    with pytest.raises(raising_by_hand.UnknownPlace, match="Nearest: HEAD") as refused:
        by_hand(complete_conveyor, component="HAED")

    assert refused.value.field == "component"
    assert not WorkOrder.objects.exists()


@pytest.mark.parametrize("position_m", [-0.1, 205.0, 1e9])
def test_a_place_off_the_loop_is_refused(complete_conveyor: Conveyor, position_m: float) -> None:
    with pytest.raises(raising_by_hand.UnknownPlace) as refused:
        by_hand(complete_conveyor, position_m=position_m)

    assert refused.value.field == "position_m"


def test_several_orders_are_raised_together_or_none_at_all() -> None:
    conveyor = register.make_complete_conveyor()
    skirts = WorkWanted("Renew the skirt rubber", origin=Origin.REPLACEMENT)
    nowhere = WorkWanted("Change rolls", component="Z99")

    with pytest.raises(raising_by_hand.UnknownPlace):
        raising_by_hand.raise_several(
            wanted=[(conveyor, skirts), (conveyor, nowhere)], by=None, now=NOW
        )
    assert not WorkOrder.objects.exists()

    made = raising_by_hand.raise_several(
        wanted=[(conveyor, skirts), (conveyor, skirts)], by=None, now=NOW
    )

    assert [one.origin for one in made] == ["replacement", "replacement"]
    assert len({one.number for one in made}) == 2
