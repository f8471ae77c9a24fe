"""People of a plant: added, changed, put out of use and taken back by an administrator."""

import logging
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.auth.models import Group
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from plant import access
from plant.errors import DomainError
from plant.models import Plant, User
from plant.roles import Permission, Role
from plant.services import passwords

logger = logging.getLogger(__name__)


class PersonMissing(DomainError):
    code = "person_missing"


class AdministratorNoMore(DomainError):
    code = "administrator_no_more"


class PersonOutOfReach(DomainError):
    code = "person_out_of_reach"


class PlantNotYours(DomainError):
    code = "plant_not_yours"


class PersonNeedsPlant(DomainError):
    code = "person_needs_plant"


class OwnAdministratorRole(DomainError):
    code = "own_administrator_role"


class OwnAccount(DomainError):
    code = "own_account"


class UserNameTaken(DomainError):
    code = "user_name_taken"


@dataclass(frozen=True)
class PersonWanted:
    """What an administrator filled in; `plants` are those of the administrator that are ticked."""

    username: str
    display_name: str
    email: str
    roles: frozenset[Role]
    plants: frozenset[Plant]


@transaction.atomic
def add_person(*, wanted: PersonWanted, by: User) -> tuple[User, str]:
    """Add a person and return them with their one-time password.

    Refuses with PlantNotYours, PersonNeedsPlant and UserNameTaken.
    """
    _check_plants(wanted.plants, by, kept=())
    person = User()
    _write(person, wanted)
    _set_roles(person, wanted.roles)
    person.plants.set(wanted.plants)
    logger.info("User %s added by user %s.", person.pk, by.pk)
    return person, passwords.give_one_time_password(user=person, by=by)


@transaction.atomic
def change_person(*, person_id: int, wanted: PersonWanted, by: User) -> User:
    """Change name, roles and plants; plants that are not the administrator's stay as they are.

    Of somebody who works at other plants too, only the administrator's own plants are changed.
    Refuses with PersonOutOfReach, PlantNotYours, PersonNeedsPlant, OwnAdministratorRole and
    UserNameTaken.
    """
    person = _locked(person_id, by)
    mine = set(access.plants_of(by))
    kept = set(person.plants.all()) - mine
    _check_plants(wanted.plants, by, kept=kept)
    if access.may_handle(by, person):
        _check_own_role(person, wanted.roles, by)
        _write(person, wanted)
        _set_roles(person, wanted.roles)
    elif _differs(person, wanted):
        raise PersonOutOfReach(_out_of_reach(person))
    person.plants.set(wanted.plants | kept)
    logger.info("User %s changed by user %s.", person.pk, by.pk)
    return person


@transaction.atomic
def put_out_of_use(*, person_id: int, by: User) -> User:
    """Let a person sign in no more; what they did stays under their name.

    Refuses with OwnAccount and PersonOutOfReach.
    """
    person = _locked(person_id, by)
    if person.pk == by.pk:
        raise OwnAccount(
            _("This is your own account. Another administrator has to put it out of use.")
        )
    return _set_active(person, by, is_active=False)


@transaction.atomic
def take_back(*, person_id: int, by: User) -> User:
    """Let a person sign in again; refuses with PersonOutOfReach."""
    return _set_active(_locked(person_id, by), by, is_active=True)


@transaction.atomic
def reset_password(*, person_id: int, by: User) -> tuple[User, str]:
    """Give a one-time password for somebody who has forgotten theirs.

    Refuses with OwnAccount and PersonOutOfReach.
    """
    person = _locked(person_id, by)
    if person.pk == by.pk:
        raise OwnAccount(_("This is your own account. Change your password under your name."))
    _check_reach(person, by)
    return person, passwords.give_one_time_password(user=person, by=by)


def _locked(person_id: int, by: User) -> User:
    # Both rows, in one order: of two administrators who take the role from each other together,
    # the second must find that it is theirs no more, or the plant is left without one.
    rows = User.objects.select_for_update().filter(pk__in=[person_id, by.pk]).order_by("pk")
    acting = next((row for row in rows if row.pk == by.pk), None)
    if acting is None or not access.may(acting, Permission.ADMINISTER):
        raise AdministratorNoMore(_("You are no administrator any more. Ask another one."))
    person = access.people_of(acting).filter(pk=person_id).first()
    if person is None:
        raise PersonMissing(_("This person is not at one of your plants any more."))
    return person


def _set_active(person: User, by: User, *, is_active: bool) -> User:
    _check_reach(person, by)
    person.is_active = is_active
    person.save(update_fields=["is_active"])
    logger.info("User %s set active=%s by user %s.", person.pk, is_active, by.pk)
    return person


def _check_reach(person: User, by: User) -> None:
    if not access.may_handle(by, person):
        raise PersonOutOfReach(_out_of_reach(person))


def _out_of_reach(person: User) -> str:
    return _(
        "%(person)s works at plants that are not yours. An administrator of all of them has to "
        "do this; you can only add or take away your own plants."
    ) % {"person": person}


def _check_plants(wanted: frozenset[Plant], by: User, *, kept: Iterable[Plant]) -> None:
    if not wanted <= set(access.plants_of(by)):
        raise PlantNotYours(_("One of these plants is not yours to give. Load the page again."))
    # Somebody without a plant would be out of every administrator's sight.
    if not wanted and not kept and not by.is_superuser:
        raise PersonNeedsPlant(
            _("Tick at least one plant. Who works here no more is put out of use instead.")
        )


def _check_own_role(person: User, roles: frozenset[Role], by: User) -> None:
    if person.pk != by.pk or person.is_superuser or Role.ADMINISTRATOR in roles:
        return
    if Role.ADMINISTRATOR in access.roles_of(person):
        raise OwnAdministratorRole(
            _(
                "You cannot take the administrator's role from yourself: the plant could be left "
                "without one. Another administrator can."
            )
        )


def _differs(person: User, wanted: PersonWanted) -> bool:
    return (
        (person.username, person.display_name, person.email)
        != (wanted.username, wanted.display_name, wanted.email)
    ) or frozenset(access.roles_by_group(person)) != wanted.roles


def _write(person: User, wanted: PersonWanted) -> None:
    person.username = wanted.username
    person.display_name = wanted.display_name
    person.email = wanted.email
    try:
        with transaction.atomic():
            person.save()
    except IntegrityError as error:
        raise UserNameTaken(
            _(
                "Somebody signs in with this name already. If it is the same person at another "
                "plant, an administrator of both plants can add yours."
            )
        ) from error


def _set_roles(person: User, roles: frozenset[Role]) -> None:
    of_roles = Group.objects.filter(name__in=[role.value for role in Role])
    person.groups.remove(*of_roles)
    person.groups.add(*of_roles.filter(name__in=[role.value for role in roles]))
