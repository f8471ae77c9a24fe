"""What an administrator asks for about a person: as the service takes it, as a form is typed."""

from plant import access
from plant.models import User
from plant.roles import Role
from plant.services.people import PersonWanted


def wanted(person: User | None = None, **changes: object) -> PersonWanted:
    fields = {
        "username": "new@larkwater.example",
        "display_name": "Tam Verity",
        "email": "new@larkwater.example",
        "roles": frozenset({Role.TECHNICIAN}),
        "plants": frozenset(),
    }
    if person is not None:
        fields = {
            "username": person.username,
            "display_name": person.display_name,
            "email": person.email,
            "roles": frozenset(access.roles_by_group(person)),
            "plants": frozenset(person.plants.all()),
        }
    return PersonWanted(**{**fields, **changes})


def typed(person: User | None = None, **changes: object) -> dict[str, object]:
    asked = wanted(person)
    fields = {
        "username": asked.username,
        "display_name": asked.display_name,
        "email": asked.email,
        "roles": [role.value for role in asked.roles],
        "plants": [plant.pk for plant in asked.plants],
    }
    return {**fields, **changes}
