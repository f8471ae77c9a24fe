"""A belt with splices and marks, and how a person works on it page by page."""

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Belt, BeltMark, Conveyor
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, signed_in

# The belt of the factory is 210.5 m long, with splices S1 at 0 m and S2 at 105 m.
TODAY = timezone.now().date()
CUT = {"from_m": "20", "to_m": "30.5", "name": "S3", "done_on": TODAY.isoformat(), "note": "burnt"}


def page(belt: Belt, name: str, *more: int) -> str:
    row = belt.conveyor
    return reverse(name, args=[row.plant.code, row.tag, belt.pk, *more])


def do(client: Client, belt: Belt, name: str, asked: dict):
    """The figures, the look at what moves, and the answer to it."""
    shown = client.post(page(belt, name), asked)
    assert shown.status_code == 200, shown.content
    return client.post(page(belt, name), sure(asked, shown))


def sure(asked: dict, shown) -> dict:
    return {**asked, "stood": shown.context["stood"], "sure": "1"}


def splices(belt: Belt) -> dict[str, float]:
    return dict(belt.splices.values_list("name", "belt_position_m"))


def marks(belt: Belt) -> list[tuple]:
    return list(belt.marks.values_list("kind", "belt_position_m", "length_m", "side"))


def make_marked_conveyor() -> Conveyor:
    conveyor = make_complete_conveyor()
    belt = conveyor.belts.get()
    BeltMark.objects.create(
        belt=belt, kind="edge damage", belt_position_m=28, length_m=6, side="left", note="frayed"
    )
    BeltMark.objects.create(belt=belt, kind="repair", belt_position_m=25)
    BeltMark.objects.create(belt=belt, kind="tear", belt_position_m=150, side="right")
    return conveyor


def planner_of(conveyor: Conveyor) -> Client:
    return signed_in(make_person(Role.PLANNER, plants=[conveyor.plant], display_name="Odile"))
