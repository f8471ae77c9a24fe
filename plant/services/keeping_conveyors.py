"""Conveyors come into the register, change, are retired and taken back."""

import logging
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.loop.layout import LayoutError, LayoutFigures, lay_out
from plant.loop.path import build_loop
from plant.models import Belt, Component, Conveyor, Plant, User
from plant.services.conveyor_lock import check_loop, lock_conveyor, tell_changed
from plant.services.register_refusals import (
    ConveyorIsRetired,
    FigureRefused,
    GeometryRefused,
    check_version,
    constraints_in_words,
)

logger = logging.getLogger(__name__)


@transaction.atomic
def add_conveyor(*, plant: Plant, values: Mapping[str, Any], by: User | None) -> Conveyor:
    """Add a conveyor without components; refuses with NameTaken."""
    conveyor = Conveyor(plant=plant, **values)
    with constraints_in_words():
        conveyor.save()
    logger.info("Conveyor %s of %s added by %s.", conveyor.tag, plant.code, by)
    return conveyor


@transaction.atomic
def edit_conveyor(
    *, conveyor_id: int, values: Mapping[str, Any], version: int | None, by: User | None
) -> Conveyor:
    """Change a conveyor's own figures and words; refuses with StaleForm and NameTaken."""
    conveyor = lock_conveyor(conveyor_id)
    check_version(conveyor, version)
    for name, value in values.items():
        setattr(conveyor, name, value)
    conveyor.version += 1
    with constraints_in_words():
        conveyor.save()
    tell_changed(conveyor)
    logger.info("Conveyor %s of %s changed by %s.", conveyor.tag, conveyor.plant.code, by)
    return conveyor


@transaction.atomic
def retire_conveyor(*, conveyor_id: int, by: User | None, now: datetime) -> Conveyor:
    """Take a conveyor out of service; everything about it stays. Refuses with ConveyorIsRetired."""
    conveyor = lock_conveyor(conveyor_id)
    if conveyor.retired_on:
        raise ConveyorIsRetired(_("This conveyor is retired already."))
    conveyor.retired_on = conveyor.plant.day_of(now)
    conveyor.version += 1
    conveyor.save()
    logger.info("Conveyor %s of %s retired by %s.", conveyor.tag, conveyor.plant.code, by)
    return conveyor


@transaction.atomic
def take_back_conveyor(*, conveyor_id: int, by: User | None) -> Conveyor:
    """Put a retired conveyor back into service; one in service stays so."""
    conveyor = lock_conveyor(conveyor_id)
    if conveyor.retired_on:
        conveyor.retired_on = None
        conveyor.version += 1
        conveyor.save()
        logger.info("Conveyor %s of %s back in service by %s.", conveyor, conveyor.plant.code, by)
    return conveyor


@transaction.atomic
def lay_out_conveyor(
    *,
    conveyor_id: int,
    figures: LayoutFigures,
    belt_width_mm: float | None = None,
    by: User | None,
) -> Conveyor:
    """Give a conveyor without components all an ordinary one has, and a belt if its width is known.

    Refuses with FigureRefused when the figures do not fit, GeometryRefused when there are
    components already: nothing of theirs is overwritten.
    """
    conveyor = lock_conveyor(conveyor_id)
    if conveyor.components.exists():
        raise GeometryRefused(_("This conveyor has components already; add to them one by one."))
    try:
        parts = lay_out(figures)
    except LayoutError as error:
        raise FigureRefused(str(error), error.field) from error
    with constraints_in_words():
        Component.objects.bulk_create(Component.of_part(conveyor, part) for part in parts)
    check_loop(conveyor)
    if belt_width_mm is not None and not conveyor.belts.filter(removed_on__isnull=True).exists():
        length_m = round(build_loop(parts).length_m, 1)
        Belt.objects.create(conveyor=conveyor, width_mm=belt_width_mm, length_m=length_m)
    conveyor.centre_distance_m = figures.centre_distance_m
    conveyor.take_up_kind = figures.take_up.value
    conveyor.version += 1
    conveyor.save()
    tell_changed(conveyor)
    logger.info("Conveyor %s of %s laid out by %s.", conveyor.tag, conveyor.plant.code, by)
    return conveyor
