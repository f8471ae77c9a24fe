"""Campaigns: kept, changed and removed; what they changed is reckoned when somebody asks."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import Conveyor, Plant, User
from plant.services.register_refusals import FieldRefusal, NameTaken, RowIsGone, check_version
from workorders.models import Campaign

logger = logging.getLogger(__name__)


class DaysOutOfOrder(FieldRefusal):
    code = "days_out_of_order"


class BeltsSaidTwice(FieldRefusal):
    code = "belts_said_twice"


class ConveyorElsewhere(FieldRefusal):
    code = "conveyor_elsewhere"


@dataclass(frozen=True)
class CampaignWanted:
    """As a person fills it in; without conveyors and area it is the whole plant."""

    name: str
    began_on: date
    ended_on: date
    area: str = ""
    conveyors: Sequence[Conveyor] = ()
    family: str = ""
    chosen: str = Campaign.Chosen.WORST.value
    note: str = ""


@transaction.atomic
def keep_campaign(
    *, plant: Plant, wanted: CampaignWanted, by: User | None, now: datetime
) -> Campaign:
    """Write down a campaign; refuses with FieldRefusals that name what to mend."""
    row = _fill(Campaign(plant=plant, kept_at=now, kept_by=by), wanted)
    logger.info("Campaign %s kept by %s.", row.pk, by)
    return row


@transaction.atomic
def change_campaign(
    *, campaign_id: int, wanted: CampaignWanted, version: int | None, by: User | None
) -> Campaign:
    """Change it; refuses also with StaleForm and RowIsGone."""
    row = Campaign.objects.select_for_update().filter(pk=campaign_id).first()
    if row is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    check_version(row, version)
    row.version += 1
    _fill(row, wanted)
    logger.info("Campaign %s changed by %s.", row.pk, by)
    return row


@transaction.atomic
def remove_campaign(*, campaign_id: int, by: User | None) -> None:
    """Forget it; cases and orders stay as they are. Removed twice is removed once."""
    Campaign.objects.filter(pk=campaign_id).delete()
    logger.info("Campaign %s removed by %s.", campaign_id, by)


def _fill(row: Campaign, wanted: CampaignWanted) -> Campaign:
    _check(row, wanted)
    row.name, row.note = wanted.name, wanted.note
    row.began_on, row.ended_on = wanted.began_on, wanted.ended_on
    row.area, row.family, row.chosen = wanted.area, wanted.family, wanted.chosen
    row.save()
    row.conveyors.set(wanted.conveyors)
    return row


def _check(row: Campaign, wanted: CampaignWanted) -> None:
    # Under the plant's lock, so that of two with one name the second is told.
    Plant.objects.select_for_update().get(pk=row.plant_id)
    others = Campaign.objects.filter(plant=row.plant_id).exclude(pk=row.pk)
    if others.filter(name__iexact=wanted.name).exists():
        raise NameTaken(_("Another campaign of this plant has this name."), "name")
    if wanted.began_on > wanted.ended_on:
        raise DaysOutOfOrder(_("The campaign ends before it begins."), "ended_on")
    if wanted.area and wanted.conveyors:
        raise BeltsSaidTwice(_("Name an area or single conveyors, not both."), "area")
    if any(one.plant_id != row.plant_id for one in wanted.conveyors):
        raise ConveyorElsewhere(_("A conveyor of another plant is among them."), "conveyors")
