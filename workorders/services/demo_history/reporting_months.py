"""That the reports of an invented plant are made by themselves; a worker makes those that are due.

None is made here: setting a sheet starts threads, and whoever loads may fork afterwards.
"""

from datetime import datetime

from plant.models import Plant
from plant.roles import Role
from workorders.month import Month
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.month_reports import scheduling
from workorders.services.month_reports.scheduling import Wanted


def report_months(plant: Plant, cast: Cast, now: datetime) -> None:
    """Set by the lead, the day after it begins, some months ago."""
    for said in read("reports.yaml")["reports"]:
        if said["plant"] != plant.code:
            continue
        readers = [cast.by_role[Role(one)][0] for one in said["readers"]]
        begins = Month.of(now.astimezone(plant.zone_info).date()).ahead(-said["months_ago"])
        set_at = datetime(begins.year, begins.number, said["day"] + 1, 9, tzinfo=plant.zone_info)
        scheduling.set_schedule(
            plant=plant,
            wanted=Wanted(is_on=True, day=said["day"], recipients=readers),
            seen=0,
            by=cast.by_role[Role.LEAD][0],
            now=set_at,
        )
