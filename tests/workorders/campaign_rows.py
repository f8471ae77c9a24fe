"""A campaign, and cases around it."""

from datetime import date, datetime, timedelta
from typing import Any

from plant.models import Conveyor, Plant
from tests.workorders import mend_rows
from workorders.models import Campaign
from workorders.services import keeping_campaigns
from workorders.services.keeping_campaigns import CampaignWanted

DAY = date(2026, 5, 4)


def make_campaign(plant: Plant, *conveyors: Conveyor, **fields: Any) -> Campaign:
    given = {"name": "Quay squared", "began_on": DAY, "ended_on": DAY, **fields}
    wanted = CampaignWanted(conveyors=conveyors, **given)
    now = datetime.combine(wanted.ended_on, datetime.min.time()).astimezone()
    return keeping_campaigns.keep_campaign(plant=plant, wanted=wanted, by=None, now=now)


def make_cases(
    belt: Conveyor, first: datetime, count: int, every_days: float, **fields: Any
) -> None:
    for number in range(count):
        mend_rows.make_case(belt, first + timedelta(days=number * every_days), **fields)
