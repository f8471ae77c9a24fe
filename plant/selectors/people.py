"""The people an administrator looks after."""

from django.db.models import F, Func, Prefetch, Q, QuerySet, TextField, Value
from django.db.models.functions import Coalesce, Lower, NullIf

from plant import access
from plant.models import Plant, User
from plant.roles import Role

_MOST_WORDS = 8


def people_wanted(by: User, *, words: str = "", role: str = "") -> QuerySet[User]:
    """Those in use first, by name; each with roles and those plants that `by` may see."""
    shown = Coalesce(NullIf(F("display_name"), Value("")), F("username"))
    # The server's own order puts all capitals before all small letters.
    by_name = Func(Lower(shown), function="unaccent", output_field=TextField())
    rows = access.people_of(by).filter(_holds(words))
    if role in set(Role):
        rows = rows.filter(groups__name=role)
    # By key: a filter on the plants' people would narrow the very rows that are looked up.
    mine = Plant.objects.filter(pk__in=access.plants_of(by).values("pk"))
    seen = Prefetch("plants", queryset=mine, to_attr="plants_seen")
    return rows.prefetch_related("groups", seen).order_by("-is_active", by_name, "pk")


def _holds(words: str) -> Q:
    asked = Q()
    for word in words.replace("\x00", " ").split()[:_MOST_WORDS]:
        asked &= (
            Q(username__unaccent__icontains=word)
            | Q(display_name__unaccent__icontains=word)
            | Q(email__unaccent__icontains=word)
        )
    return asked
