"""A plant sets when the site proposes work by itself."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Plant, User
from workorders.auto_raising import SetPoint
from workorders.models import RaisingSetting
from workorders.models.raising_setting import LEAST_PROBABILITY, MOST_PROBABILITY


class SettingChangedMeanwhile(DomainError):
    code = "setting_changed_meanwhile"


class ProbabilityOutOfRange(DomainError):
    code = "probability_out_of_range"


@transaction.atomic
def set_raising(
    *, plant_id: int, point: SetPoint, seen: int, by: User | None, now: datetime
) -> RaisingSetting:
    """Keep a new setting; `seen` is the row the person was looking at, 0 for none yet.

    Orders that stand are left alone. Refuses with SettingChangedMeanwhile and
    ProbabilityOutOfRange.
    """
    # Of two people setting it at once, the second is told.
    Plant.objects.select_for_update(no_key=True).get(pk=plant_id)
    newest = RaisingSetting.objects.filter(plant=plant_id).first()
    if (newest.pk if newest else 0) != seen:
        raise SettingChangedMeanwhile(_("Somebody set this meanwhile. Look at it, then decide."))
    if not LEAST_PROBABILITY <= point.probability <= MOST_PROBABILITY:
        raise ProbabilityOutOfRange(
            _("Give a probability from %(least)d to %(most)d %%.")
            % {"least": 100 * LEAST_PROBABILITY, "most": 100 * MOST_PROBABILITY}
        )
    return RaisingSetting.objects.create(
        plant_id=plant_id,
        is_on=point.is_on,
        probability=point.probability,
        least_urgency=point.least_urgency.value,
        set_at=now,
        set_by=by,
    )
