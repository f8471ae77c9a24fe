"""That the reports of an invented plant are made by themselves; a worker makes those that are due.

None is made here: setting a sheet starts threads, and whoever loads may fork afterwards.
"""

from collections.abc import Sequence
from datetime import datetime

from plant.models import Plant, User
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
        # Of each role the one whose account people sign in with: the others have no address.
        readers = [_with_address(cast.by_role[Role(one)]) for one in said["readers"]]
        begins = Month.of(plant.day_of(now)).ahead(-said["months_ago"])
        set_at = datetime(begins.year, begins.number, said["day"] + 1, 9, tzinfo=plant.zone_info)
        scheduling.set_schedule(
            plant=plant,
            wanted=Wanted(is_on=True, day=said["day"], recipients=readers),
            seen=0,
            by=cast.by_role[Role.LEAD][0],
            now=set_at,
        )


def _with_address(people: Sequence[User]) -> User:
    return next((one for one in people if one.email), people[0])
