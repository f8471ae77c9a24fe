"""The belting of a conveyor: fitted, changed, taken off; its splices and marks."""

import logging
from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.loop.belt_operations import WorkKind
from plant.models import Belt, BeltMark, Conveyor, Splice, User
from plant.services.belt_works import write_down
from plant.services.conveyor_lock import lock_conveyor, touch
from plant.services.register_refusals import (
    BeltIsFitted,
    FigureRefused,
    check_version,
    constraints_in_words,
    row_of,
)

logger = logging.getLogger(__name__)


@transaction.atomic
def fit_belt(*, conveyor_id: int, values: Mapping[str, Any], by: User | None) -> Belt:
    """Fit a belt; refuses with BeltIsFitted while another one is on."""
    conveyor = lock_conveyor(conveyor_id)
    if conveyor.belts.filter(removed_on__isnull=True).exists():
        raise BeltIsFitted(_("This conveyor has a belt fitted; take it off first."))
    belt = Belt(conveyor=conveyor, **values)
    with constraints_in_words():
        belt.save()
    touch(conveyor)
    _note(conveyor, belt, WorkKind.FITTED, belt.fitted_on, by)
    logger.info("Belt %s fitted to %s by %s.", belt, conveyor, by)
    return belt


@transaction.atomic
def edit_belt(
    *,
    conveyor_id: int,
    belt_id: int,
    values: Mapping[str, Any],
    version: int | None,
    by: User | None,
) -> Belt:
    """Change a belt; refuses with StaleForm, and with FigureRefused if a splice would fall off."""
    conveyor, belt = _locked(conveyor_id, belt_id)
    check_version(belt, version)
    for name, value in values.items():
        setattr(belt, name, value)
    for last in (belt.splices.last(), belt.marks.last()):
        if last is not None and last.belt_position_m >= belt.length_m:
            raise FigureRefused(
                _("%(what)s stands at %(at).1f m; the belt cannot be shorter than that.")
                % {"what": last, "at": last.belt_position_m},
                "length_m",
            )
    belt.version += 1
    belt.save()
    touch(conveyor)
    logger.info("Belt %s of %s changed by %s.", belt, conveyor, by)
    return belt


@transaction.atomic
def take_off_belt(
    *, conveyor_id: int, belt_id: int, removed_on: date, today: date, by: User | None
) -> Belt:
    """Take a belt off; it stays on record. Refuses dates to come or before it was fitted."""
    conveyor, belt = _locked(conveyor_id, belt_id)
    if removed_on > today:
        raise FigureRefused(_("That day is still to come."), "removed_on")
    if belt.fitted_on and removed_on < belt.fitted_on:
        raise FigureRefused(
            _("The belt was fitted on %(day)s, after that day.") % {"day": belt.fitted_on},
            "removed_on",
        )
    belt.removed_on = removed_on
    belt.version += 1
    belt.save()
    touch(conveyor)
    _note(conveyor, belt, WorkKind.TAKEN_OFF, removed_on, by)
    logger.info("Belt %s taken off %s by %s.", belt, conveyor, by)
    return belt


@transaction.atomic
def put_belt_back(*, conveyor_id: int, belt_id: int, by: User | None) -> Belt:
    """Undo taking a belt off; refuses with BeltIsFitted when another one is on by now."""
    conveyor, belt = _locked(conveyor_id, belt_id)
    others = conveyor.belts.filter(removed_on__isnull=True).exclude(pk=belt.pk)
    if others.exists():
        raise BeltIsFitted(_("Another belt is fitted by now; take that one off first."))
    belt.removed_on = None
    belt.version += 1
    with constraints_in_words():
        belt.save()
    touch(conveyor)
    _note(conveyor, belt, WorkKind.PUT_BACK, None, by)
    logger.info("Belt %s put back on %s by %s.", belt, conveyor, by)
    return belt


@transaction.atomic
def replace_belt(
    *,
    conveyor_id: int,
    belt_id: int,
    values: Mapping[str, Any],
    removed_on: date,
    today: date,
    by: User | None,
) -> Belt:
    """Take the fitted belt off and fit another; splices and marks stay with the old one."""
    conveyor, belt = _locked(conveyor_id, belt_id)
    if belt.removed_on is not None:
        raise FigureRefused(_("This belt is off already; fit the new one."))
    fitted_on = values.get("fitted_on") or removed_on
    if fitted_on < removed_on:
        raise FigureRefused(_("The old belt was still on that day."), "fitted_on")
    take_off_belt(
        conveyor_id=conveyor.pk, belt_id=belt.pk, removed_on=removed_on, today=today, by=by
    )
    return fit_belt(conveyor_id=conveyor.pk, values={**values, "fitted_on": fitted_on}, by=by)


@transaction.atomic
def keep_splice(
    *,
    conveyor_id: int,
    belt_id: int,
    splice_id: int | None = None,
    values: Mapping[str, Any],
    version: int | None = None,
    by: User | None,
) -> Splice:
    """Add a splice or change one; refuses positions past the belt's end and names used twice."""
    conveyor, belt = _locked(conveyor_id, belt_id)
    splice = row_of(belt.splices, splice_id) if splice_id else Splice(belt=belt, version=0)
    _change(splice, values, version)
    if any(
        other.belt_position_m == splice.belt_position_m
        for other in belt.splices.exclude(pk=splice.pk)
    ):
        raise FigureRefused(_("Another splice stands there already."), "belt_position_m")
    _keep(conveyor, belt, splice, by)
    return splice


@transaction.atomic
def keep_mark(
    *,
    conveyor_id: int,
    belt_id: int,
    mark_id: int | None = None,
    values: Mapping[str, Any],
    version: int | None = None,
    by: User | None,
) -> BeltMark:
    """Add a mark or change one; refuses positions past the belt's end."""
    conveyor, belt = _locked(conveyor_id, belt_id)
    mark = row_of(belt.marks, mark_id) if mark_id else BeltMark(belt=belt, version=0)
    _change(mark, values, version)
    if mark.length_m is not None and mark.length_m > belt.length_m:
        raise FigureRefused(
            _("The mark is longer than the belt, which is %(length).1f m.")
            % {"length": belt.length_m},
            "length_m",
        )
    _keep(conveyor, belt, mark, by)
    return mark


@transaction.atomic
def remove_splice(*, conveyor_id: int, belt_id: int, splice_id: int, by: User | None) -> None:
    conveyor, belt = _locked(conveyor_id, belt_id)
    row_of(belt.splices, splice_id).delete()
    touch(conveyor)
    logger.info("Splice %s of %s removed by %s.", splice_id, conveyor, by)


@transaction.atomic
def remove_mark(*, conveyor_id: int, belt_id: int, mark_id: int, by: User | None) -> None:
    conveyor, belt = _locked(conveyor_id, belt_id)
    row_of(belt.marks, mark_id).delete()
    touch(conveyor)
    logger.info("Mark %s of %s removed by %s.", mark_id, conveyor, by)


def _locked(conveyor_id: int, belt_id: int) -> tuple[Conveyor, Belt]:
    conveyor = lock_conveyor(conveyor_id)
    return conveyor, row_of(conveyor.belts, belt_id)


def _note(
    conveyor: Conveyor, belt: Belt, kind: WorkKind, done_on: date | None, by: User | None
) -> None:
    # The instant at which the conveyor was touched is that of the work.
    write_down(belt, kind, done_on=done_on, by=by, now=conveyor.changed_at)


def _change(row: Splice | BeltMark, values: Mapping[str, Any], version: int | None) -> None:
    check_version(row, version)
    for name, value in values.items():
        setattr(row, name, value)
    row.version += 1


def _keep(conveyor: Conveyor, belt: Belt, row: Splice | BeltMark, by: User | None) -> None:
    # A belt position counts from the reference splice: the belt's length is that splice again.
    if row.belt_position_m >= belt.length_m:
        raise FigureRefused(
            _("The belt is %(length).1f m long; positions run from 0 m up to that.")
            % {"length": belt.length_m},
            "belt_position_m",
        )
    with constraints_in_words():
        row.save()
    touch(conveyor)
    logger.info("%s of %s kept by %s.", row, conveyor, by)
