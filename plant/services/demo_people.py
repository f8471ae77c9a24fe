"""The people of the demo plant: one for each role, all invented, with open passwords."""

from dataclasses import dataclass

from django.contrib.auth.models import Group
from django.db import transaction

from plant import roles
from plant.models import Plant, User
from plant.roles import Role


@dataclass(frozen=True)
class DemoPerson:
    username: str
    password: str
    display_name: str
    role: Role


def _person(word: str, display_name: str, role: Role) -> DemoPerson:
    return DemoPerson(f"{word}@larkwater.example", f"larkwater-{word}", display_name, role)


DEMO_PEOPLE = [
    _person("clerk", "Odile Brannock", Role.CLERK),
    _person("technician", "Tam Verity", Role.TECHNICIAN),
    _person("planner", "Ines Halloway", Role.PLANNER),
    _person("lead", "Corwin Ashgrove", Role.LEAD),
    _person("admin", "Maren Tolliver", Role.ADMINISTRATOR),
]


@transaction.atomic
def ensure_demo_people(plant: Plant) -> list[User]:
    """Make those who are missing and give each their role and the plant. May run again and again.

    A password somebody has changed stays as it is.
    """
    roles.keep_groups()
    return [_ensure(person, plant) for person in DEMO_PEOPLE]


def _ensure(person: DemoPerson, plant: Plant) -> User:
    user, is_new = User.objects.get_or_create(
        username=person.username,
        defaults={"email": person.username, "display_name": person.display_name},
    )
    if is_new:
        user.set_password(person.password)
        user.save(update_fields=["password"])
    user.groups.add(Group.objects.get(name=person.role.value))
    user.plants.add(plant)
    return user
