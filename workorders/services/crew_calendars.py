"""The secret address of a crew's calendar: made, replaced, withdrawn. It is seen once."""

import logging
import secrets

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import Crew
from workorders.selectors.crew_calendar import digest_of

logger = logging.getLogger(__name__)

# 256 bits: nobody guesses it, however often they try.
_TOKEN_BYTES = 32


class CrewIsRetired(DomainError):
    code = "crew_is_retired"


class CalendarChangedMeanwhile(DomainError):
    code = "calendar_changed_meanwhile"


@transaction.atomic
def make_address(*, crew_id: int, version: int | None, by: User) -> str:
    """Make the secret part of a calendar's address anew; the one before opens nothing from now on.

    Refuses with CrewIsRetired and CalendarChangedMeanwhile. Only its digest is kept.
    """
    crew = _lock(crew_id, version)
    if crew.retired_on is not None:
        raise CrewIsRetired(_("This crew is retired; bring it back first."))
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    _keep(crew, digest_of(token))
    logger.info("Calendar address of crew %s made by %s.", crew.pk, by)
    return token


@transaction.atomic
def withdraw_address(*, crew_id: int, version: int | None, by: User) -> Crew:
    """From now on the address opens nothing; refuses with CalendarChangedMeanwhile."""
    crew = _lock(crew_id, version)
    _keep(crew, "")
    logger.info("Calendar address of crew %s withdrawn by %s.", crew.pk, by)
    return crew


def _lock(crew_id: int, version: int | None) -> Crew:
    crew = Crew.objects.select_for_update().get(pk=crew_id)
    if crew.version != version:
        raise CalendarChangedMeanwhile(
            _("Somebody changed this crew while you had it open. Look again, then decide.")
        )
    return crew


def _keep(crew: Crew, digest: str) -> None:
    crew.calendar_key_hash = digest
    crew.version += 1
    crew.save(update_fields=["calendar_key_hash", "version"])
