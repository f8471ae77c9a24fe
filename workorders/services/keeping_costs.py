"""What replacing costs, kept by plant and kind."""

import logging
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from plant.models import Plant, User
from plant.services.register_refusals import StaleForm
from workorders.life_subjects import LifeSubject
from workorders.models import ReplacementCosts
from workorders.services import due_owing

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Costs:
    planned_cost: Decimal
    failure_cost: Decimal
    visit_cost: Decimal = Decimal(0)
    hours_each: Decimal = Decimal(0)
    free_stop_h: Decimal = Decimal(0)
    stop_cost_per_h: Decimal = Decimal(0)


@transaction.atomic
def keep_costs(
    *,
    plant: Plant,
    subject: LifeSubject,
    costs: Costs,
    version: int | None,
    by: User | None,
    now: datetime,
) -> ReplacementCosts:
    """Keep the costs of a kind; refuses with StaleForm when somebody else has kept others."""
    # Lists before the plant, as whoever raises orders from them takes both.
    due_owing.owe(plant_id=plant.pk)
    # The plant's row: of two who keep the first costs of a kind one must come second.
    Plant.objects.select_for_update(no_key=True).get(pk=plant.pk)
    row = ReplacementCosts.objects.filter(plant=plant, subject=subject.value).first()
    if row is not None and version is not None and row.version != version:
        raise StaleForm(row)
    if row is None:
        row = ReplacementCosts(plant=plant, subject=subject.value, version=0)
    for name, value in asdict(costs).items():
        setattr(row, name, value)
    row.kept_at, row.kept_by = now, by
    row.version += 1
    row.save()
    logger.info("Costs of %s of %s kept by %s.", subject.value, plant, by)
    return row


@transaction.atomic
def forget_costs(*, plant: Plant, subject: LifeSubject, by: User | None) -> None:
    """Nothing of the kind is due by its age any more."""
    ReplacementCosts.objects.filter(plant=plant, subject=subject.value).delete()
    due_owing.owe(plant_id=plant.pk)
    logger.info("Costs of %s of %s removed by %s.", subject.value, plant, by)
