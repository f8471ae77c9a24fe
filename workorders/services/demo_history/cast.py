"""The people of the history: those of the demo who sign in, and invented ones who do not."""

from dataclasses import dataclass

from django.contrib.auth.models import Group
from numpy.random import Generator

from plant.models import Plant, User
from plant.roles import Role
from plant.services.demo_people import ensure_demo_people
from workorders.services.demo_history.files import read


@dataclass(frozen=True)
class Cast:
    """Who may play which part in one plant's history."""

    by_role: dict[Role, tuple[User, ...]]

    def one(self, role: Role, rng: Generator) -> User:
        people = self.by_role[role]
        return people[int(rng.integers(len(people)))]


def call_people(plants: dict[str, Plant]) -> dict[str, Cast]:
    """Make everybody and hand back, by plant code, who can act.

    The first plant is the one whose people sign in; its administrator keeps the others too.
    """
    first = next(iter(plants.values()))
    signing_in = ensure_demo_people(first)
    for person in signing_in:
        if person.groups.filter(name=Role.ADMINISTRATOR.value).exists():
            person.plants.add(*plants.values())
    for said in read("people.yaml")["people"]:
        _make(said["name"], Role(said["role"]), [plants[code] for code in said["plants"]])
    return {code: Cast(_by_role(plant)) for code, plant in plants.items()}


def _make(name: str, role: Role, plants: list[Plant]) -> None:
    user = User(username=name.casefold().replace(" ", "."), display_name=name)
    user.set_unusable_password()
    user.save()
    user.groups.add(Group.objects.get(name=role.value))
    user.plants.add(*plants)


def _by_role(plant: Plant) -> dict[Role, tuple[User, ...]]:
    return {
        role: tuple(User.objects.filter(plants=plant, groups__name=role.value).order_by("username"))
        for role in Role
    }
