"""Plants: added and changed by administrators."""

import logging

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from plant import access
from plant.errors import DomainError
from plant.models import Plant, User

logger = logging.getLogger(__name__)


class PlantTaken(DomainError):
    code = "plant_taken"


class PlantCodeStays(DomainError):
    code = "plant_code_stays"


@transaction.atomic
def add_plant(*, plant: Plant, by: User) -> Plant:
    """Add a plant and assign whoever adds it; refuses with PlantTaken."""
    _write(plant)
    by.plants.add(plant)
    logger.info("Plant %s added by user %s.", plant.code, by.pk)
    return plant


@transaction.atomic
def change_plant(*, plant: Plant, by: User) -> Plant:
    """Change a plant of one's own; refuses with PlantCodeStays and PlantTaken."""
    kept = access.plants_of(by).select_for_update(of=("self",)).get(pk=plant.pk)
    if kept.code != plant.code:
        raise PlantCodeStays(
            _("The code stands in the number of every case and order, so it stays as it is.")
        )
    _write(plant)
    logger.info("Plant %s changed by user %s.", plant.code, by.pk)
    return plant


def _write(plant: Plant) -> None:
    try:
        with transaction.atomic():
            plant.save()
    except IntegrityError as error:
        raise PlantTaken(
            _("There is a plant with this code or name already. Choose another.")
        ) from error
