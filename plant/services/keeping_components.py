"""Components of a conveyor are added, changed and removed, and always leave a possible loop."""

import logging
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from plant.models import Component, User
from plant.services.conveyor_lock import check_loop, lock_conveyor, touch
from plant.services.register_refusals import check_version, constraints_in_words, row_of

logger = logging.getLogger(__name__)


@transaction.atomic
def add_component(*, conveyor_id: int, values: Mapping[str, Any], by: User | None) -> Component:
    """Add a component; refuses with GeometryRefused, naming the part and the field to mend."""
    conveyor = lock_conveyor(conveyor_id)
    component = Component(conveyor=conveyor, **values)
    check_loop(conveyor, component)
    with constraints_in_words():
        component.save()
    touch(conveyor)
    logger.info("Component %s of %s added by %s.", component.name, conveyor, by)
    return component


@transaction.atomic
def edit_component(
    *,
    conveyor_id: int,
    component_id: int,
    values: Mapping[str, Any],
    version: int | None,
    by: User | None,
) -> Component:
    """Change a component; refuses with StaleForm and GeometryRefused."""
    conveyor = lock_conveyor(conveyor_id)
    component = row_of(conveyor.components, component_id)
    check_version(component, version)
    for name, value in values.items():
        setattr(component, name, value)
    component.version += 1
    check_loop(conveyor, component)
    with constraints_in_words():
        component.save()
    touch(conveyor)
    logger.info("Component %s of %s changed by %s.", component.name, conveyor, by)
    return component


@transaction.atomic
def remove_component(*, conveyor_id: int, component_id: int, by: User | None) -> None:
    """Remove a component; without its head or tail a loop is not wrong, only not complete."""
    conveyor = lock_conveyor(conveyor_id)
    component = row_of(conveyor.components, component_id)
    # Its pictures and drawings stay with the conveyor and say what they belonged to.
    component.attachments.update(component_name=component.name)
    component.delete()
    touch(conveyor)
    logger.info("Component %s of %s removed by %s.", component.name, conveyor, by)
