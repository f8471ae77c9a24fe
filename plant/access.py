"""Who may see and do what: asked here and nowhere else, and answered no first.

A person acts on a row when their role grants the permission and the row's plant is one of theirs.
Pages load rows through `visible`, so that a row of another plant looks like one that is not there.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse

from plant.models import Plant, User
from plant.roles import Permission, Role

Row = TypeVar("Row", bound=Model)

# For each model that is shown: the way from the row to its plant. A model not named is not shown.
_WAY_TO_PLANT: dict[str, str] = {
    "plant.plant": "pk",
    "plant.conveyor": "plant",
    "plant.component": "conveyor__plant",
    "plant.belt": "conveyor__plant",
    "plant.splice": "belt__conveyor__plant",
    "plant.beltmark": "belt__conveyor__plant",
    "plant.beltwork": "belt__conveyor__plant",
    "plant.conditionreading": "conveyor__plant",
    "plant.rollchange": "conveyor__plant",
    "plant.meterreading": "conveyor__plant",
    "plant.registerimport": "plant",
    "plant.attachment": "conveyor__plant",
    "plant.apikey": "plant",
    "plant.feedchange": "plant",
    "plant.connectedsystem": "plant",
    "plant.wordingchange": "system__plant",
    "plant.wordinggap": "system__plant",
    "plant.exchangesetting": "plant",
    "plant.exchangerun": "setting__plant",
    "plant.exchangefile": "setting__plant",
    "plant.keylogentry": "key__plant",
    "plant.webhooktarget": "plant",
    "plant.webhookdelivery": "target__plant",
}


def register_way_to_plant(label: str, way: str) -> None:
    """An upper app says, from its AppConfig.ready, how its rows reach their plant."""
    _WAY_TO_PLANT[label] = way


def plants_of(user: User | AnonymousUser) -> QuerySet[Plant]:
    """The plants a person is assigned to; none for a stranger.

    A superuser (made on the command line of an empty server) sees all.
    """
    if not user.is_authenticated or not user.is_active:
        return Plant.objects.none()
    if user.is_superuser:
        return Plant.objects.all()
    return Plant.objects.filter(people=user)


def roles_of(user: User | AnonymousUser) -> list[Role]:
    """The roles a person acts in, in the order of the table; the superuser administers."""
    if not user.is_authenticated or not user.is_active:
        return []
    given = roles_by_group(user)
    if user.is_superuser and Role.ADMINISTRATOR not in given:
        given.append(Role.ADMINISTRATOR)
    return given


def roles_by_group(person: User) -> list[Role]:
    """The roles somebody gave this person, whether or not the account is in use."""
    names = {group.name for group in person.groups.all()}
    return [role for role in Role if role.value in names]


def people_of(user: User | AnonymousUser) -> QuerySet[User]:
    """The people who share a plant with this person; all for the superuser."""
    if user.is_authenticated and user.is_active and user.is_superuser:
        return User.objects.all()
    return User.objects.filter(pk__in=User.objects.filter(plants__in=plants_of(user)).values("pk"))


def may_handle(user: User | AnonymousUser, person: User) -> bool:
    """Whether this administrator may change the person's roles, name and password.

    Only when every plant of the person is theirs: a role counts at all plants of a person, and
    who sets a password can come in with it.
    """
    if not may(user, Permission.ADMINISTER):
        return False
    if user.is_superuser:
        return True
    elsewhere = person.plants.exclude(pk__in=plants_of(user).values("pk"))
    return not person.is_superuser and not elsewhere.exists()


def visible(rows: QuerySet[Row], user: User | AnonymousUser) -> QuerySet[Row]:
    """Those of the rows that belong to a plant of this person."""
    return of_plants(rows, plants_of(user))


def of_plants(rows: QuerySet[Row], plants: QuerySet[Plant]) -> QuerySet[Row]:
    """Those of the rows that belong to one of the plants; for keys as well as for people."""
    way = _WAY_TO_PLANT.get(rows.model._meta.label_lower)
    if way is None:
        raise LookupError(f"{rows.model._meta.label} has no way to its plant; register one.")
    return rows.filter(**{f"{way}__in": plants})


def one_visible(rows: QuerySet[Row], user: User | AnonymousUser, **which: Any) -> Row:
    """The one row asked for; 404 whether it does not exist or is another plant's.

    A text no column can hold, out of an address, names no row either.
    """
    if any("\x00" in value for value in which.values() if isinstance(value, str)):
        raise Http404
    row = visible(rows, user).filter(**which).first()
    if row is None:
        raise Http404
    return row


def may(user: User | AnonymousUser, permission: Permission) -> bool:
    return bool(user.is_authenticated and user.is_active and user.has_perm(permission.value))


def may_correct(user: User | AnonymousUser, kept_by_id: int | None) -> bool:
    """Whether a person may correct or take back what somebody measured: keepers all, others own."""
    if may(user, Permission.KEEP_REGISTER):
        return True
    return may(user, Permission.TAKE_READING) and kept_by_id is not None and kept_by_id == user.pk


def require_correcting(user: User | AnonymousUser, kept_by_id: int | None) -> None:
    """Refuse with 403 unless `may_correct`."""
    if not may_correct(user, kept_by_id):
        raise PermissionDenied(Permission.KEEP_REGISTER.value)


def require(user: User | AnonymousUser, permission: Permission) -> None:
    """Refuse with 403 unless the person's role grants the permission."""
    if not may(user, permission):
        raise PermissionDenied(permission.value)


def person_of(request: HttpRequest) -> User:
    """Who is signed in; refuses with 403 where nobody is."""
    if not isinstance(request.user, User):
        raise PermissionDenied
    return request.user


View = Callable[..., HttpResponse]


def needs(permission: Permission) -> Callable[[View], View]:
    """For a view: refuse everybody whose role does not grant the permission."""

    def wrap(view: View) -> View:
        @wraps(view)
        def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            require(request.user, permission)
            return view(request, *args, **kwargs)

        return checked

    return wrap
