"""The two periods that a campaign, or somebody who types them, sets against each other."""

from dataclasses import dataclass
from datetime import date, timedelta

from diagnostics.selectors.trends import Period
from plant.days import FIRST_DAY
from workorders.models import Campaign

# So far before and after a campaign is looked unless somebody says otherwise: every season once.
USUAL_DAYS = 365


@dataclass(frozen=True)
class Periods:
    """Both of one cause family; `before` ends before `after` begins.

    `began_on` and `ended_on` are the days of a campaign between them.
    """

    before: Period
    after: Period
    began_on: date | None = None
    ended_on: date | None = None

    @property
    def whole(self) -> Period:
        return Period(self.before.first, self.after.last, self.before.family)

    @property
    def are_whole_years(self) -> bool:
        """Whether both hold every season alike, within a month."""
        return all(abs(one.days / 365.25 - round(one.days / 365.25)) < 1 / 12 and one.days > 300
                   for one in (self.before, self.after))  # fmt: skip


def periods_of(campaign: Campaign, days: int, today: date) -> Periods | None:
    """So many days before its first and after its last; None while no day after it is over."""
    first = max(FIRST_DAY, campaign.began_on - timedelta(days=days))
    last = campaign.began_on - timedelta(days=1)
    begin = campaign.ended_on + timedelta(days=1)
    end = min(campaign.ended_on + timedelta(days=days), today)
    if end < begin or last < first:
        return None
    family = campaign.family
    return Periods(
        Period(first, last, family),
        Period(begin, end, family),
        campaign.began_on,
        campaign.ended_on,
    )
