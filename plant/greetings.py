"""How the Today page speaks to people: the time of day at their plant, their role's question."""

from collections.abc import Sequence
from datetime import UTC, datetime

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.models import Plant
from plant.roles import ROLE_WORDS, Role

_ASKS: dict[Role, str | Promise] = {
    Role.CLERK: gettext_lazy("Somebody calls: which belt, roughly where, how bad?"),
    Role.TECHNICIAN: gettext_lazy("What is known already, which belt to walk, what to look at."),
    Role.PLANNER: gettext_lazy("What was found, what it needs, and when the belt may stand."),
    Role.LEAD: gettext_lazy("What was found, what has to be confirmed, what keeps coming back."),
    Role.ADMINISTRATOR: gettext_lazy("Who works here, at which plants, and which systems ask."),
}


def greeting(now: datetime, plants: Sequence[Plant]) -> str:
    """By the clock of the first plant: whoever sits elsewhere still thinks of its day."""
    hour = now.astimezone(plants[0].zone_info if plants else UTC).hour
    if 5 <= hour < 12:
        return _("Good morning")
    if 12 <= hour < 18:
        return _("Good afternoon")
    return _("Good evening")


def what_a_role_asks(roles: Sequence[Role]) -> str | Promise:
    return _ASKS[roles[0]] if roles else ""


def role_words(roles: Sequence[Role]) -> list[str | Promise]:
    return [ROLE_WORDS[role] for role in roles]
