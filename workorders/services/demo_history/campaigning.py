"""Campaigns that an invented plant kept, to see what they changed."""

from datetime import datetime, timedelta

from plant.models import Conveyor, Plant
from plant.roles import Role
from workorders.services import keeping_campaigns
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.keeping_campaigns import CampaignWanted


def keep_campaigns(plant: Plant, cast: Cast, now: datetime) -> None:
    """The reliability lead writes each down on the day it ends."""
    [lead, *_others] = cast.by_role[Role.LEAD]
    today = plant.day_of(now)
    for said in read("campaigns.yaml")["campaigns"]:
        if said["plant"] != plant.code:
            continue
        began_on = today - timedelta(days=said["days_ago"])
        wanted = CampaignWanted(
            name=said["name"],
            began_on=began_on,
            ended_on=began_on + timedelta(days=said["days"] - 1),
            area=said.get("area", ""),
            conveyors=list(Conveyor.objects.filter(plant=plant, tag__in=said.get("conveyors", ()))),
            family=said.get("family", ""),
            chosen=said["chosen"],
            note=said["note"],
        )
        kept_at = now - timedelta(days=said["days_ago"] - said["days"])
        keeping_campaigns.keep_campaign(plant=plant, wanted=wanted, by=lead, now=kept_at)
