"""The smallest valid rows of the register, with plant words."""

from decimal import Decimal
from itertools import count
from typing import Any

from django.contrib.auth.models import Group
from django.test import Client

from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, Component, Conveyor, Plant, Splice, User
from plant.roles import Role

PASSWORD = "walkway-side-7"
_numbers = count(1)


def make_plant(**fields: Any) -> Plant:
    number = next(_numbers)
    defaults = {"code": f"LT{number}", "name": f"Larkwater {number}", "time_zone": "UTC"}
    return Plant.objects.create(**{**defaults, **fields})


def make_person(*roles: Role, plants: list[Plant] | None = None, **fields: Any) -> User:
    """A person with these roles at these plants; signs in with PASSWORD."""
    number = next(_numbers)
    name = roles[0].name.lower() if roles else "stranger"
    username = fields.pop("username", f"{name}{number}@larkwater.example")
    fields.setdefault("email", username if "@" in username else "")
    password = fields.pop("password", PASSWORD)
    person = User.objects.create_user(username=username, password=password, **fields)
    person.groups.set(Group.objects.filter(name__in=[role.value for role in roles]))
    person.plants.set(plants or [])
    return person


def signed_in(person: User) -> Client:
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


def make_conveyor(plant: Plant | None = None, **fields: Any) -> Conveyor:
    """A conveyor without components: its loop is not complete."""
    number = next(_numbers)
    defaults = {
        "plant": plant or make_plant(),
        "tag": f"CV-{number}",
        "name": f"Quay conveyor {number}",
        "centre_distance_m": 100.0,
        "speed_mps": 2.5,
        "left_words": "walkway side",
        "right_words": "sea side",
    }
    return Conveyor.objects.create(**{**defaults, **fields})


_PULLEY = {"diameter_mm": 630.0, "wrap_deg": 180.0}
_BEND = {"diameter_mm": 400.0, "wrap_deg": 90.0}
_PARTS: list[tuple[str, ComponentKind, Run, str, dict[str, Any]]] = [
    ("Load point", ComponentKind.LOAD_POINT, Run.CARRYING, "2", {}),
    ("Skirts", ComponentKind.SKIRTBOARD, Run.CARRYING, "2", {"length_m": 5.0}),
    ("I", ComponentKind.IMPACT_IDLERS, Run.CARRYING, "1.5", {"spacing_m": "0.5", "count": 6}),
    ("C", ComponentKind.TROUGHING_IDLERS, Run.CARRYING, "6", {"spacing_m": "1.5", "count": 60}),
    ("Head pulley", ComponentKind.HEAD_PULLEY, Run.CARRYING, "100", _PULLEY),
    ("R", ComponentKind.RETURN_IDLERS, Run.RETURN, "105", {"spacing_m": "3", "count": 10}),
    ("Bend 1", ComponentKind.BEND_PULLEY, Run.RETURN, "140", _BEND),
    ("Take-up", ComponentKind.TAKE_UP_PULLEY, Run.RETURN, "144", _PULLEY),
    ("Bend 2", ComponentKind.BEND_PULLEY, Run.RETURN, "149", _BEND),
    ("Q", ComponentKind.RETURN_IDLERS, Run.RETURN, "153", {"spacing_m": "3", "count": 17}),
    ("Tail pulley", ComponentKind.TAIL_PULLEY, Run.RETURN, "209", _PULLEY),
]


def make_complete_conveyor(plant: Plant | None = None, **fields: Any) -> Conveyor:
    """Tail, load point, idlers, head, bends, gravity take-up; a belt with two splices."""
    conveyor = make_conveyor(plant, **fields)
    for name, kind, run, first_m, more in _PARTS:
        make_component(conveyor, name, kind, run, first_m, **more)
    belt = Belt.objects.create(
        conveyor=conveyor, name="Belt of 2024", width_mm=1000, length_m=210.5
    )
    for name, belt_position_m in (("S1", 0.0), ("S2", 105.0)):
        Splice.objects.create(belt=belt, name=name, belt_position_m=belt_position_m)
    return conveyor


def make_component(
    conveyor: Conveyor, name: str, kind: ComponentKind, run: Run, first_m: str, **more: Any
) -> Component:
    if "spacing_m" in more:
        more = {**more, "spacing_m": Decimal(more["spacing_m"]), "is_numbered": True}
    return Component.objects.create(
        conveyor=conveyor, name=name, kind=kind, run=run, first_m=Decimal(first_m), **more
    )
