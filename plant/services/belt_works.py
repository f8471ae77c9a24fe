"""Work on a belt: its splices and marks are moved with it, and what was done is kept."""

import dataclasses
import logging
from collections.abc import Hashable
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.loop.belt_life import Belting, CannotBe, Joint, Spot
from plant.loop.belt_operations import Operation, WorkKind
from plant.models import Belt, BeltMark, BeltWork, Splice, User
from plant.selectors import belting
from plant.services.conveyor_lock import lock_conveyor, touch
from plant.services.register_refusals import (
    FieldRefusal,
    FigureRefused,
    constraints_in_words,
    row_of,
)

logger = logging.getLogger(__name__)

# The longest belt the register keeps.
_MOST_M = 100_000.0


class BeltChangedMeanwhile(FieldRefusal):
    code = "belt_changed_meanwhile"


class CannotUndo(FieldRefusal):
    code = "cannot_undo"


@dataclasses.dataclass(frozen=True)
class Asked:
    """`stood` is the fingerprint of the belting that the person was shown; None: nothing."""

    operation: Operation
    done_on: date
    note: str = ""
    stood: str | None = None


def worked_out(belt: Belt, operation: Operation) -> tuple[Belting, Belting]:
    """How the belt is and how it would be; refuses with FigureRefused. Nothing is kept."""
    before = belting.belting_of(belt)
    try:
        after = operation.of(before)
    except CannotBe as error:
        raise _in_words(error, before) from error
    if after.length_m > _MOST_M:
        raise FigureRefused(_("No belt here is longer than 100 km."), "length_m")
    _check_names(belt, after)
    return before, after


@transaction.atomic
def work_on_belt(
    *, conveyor_id: int, belt_id: int, asked: Asked, by: User | None, now: datetime, today: date
) -> BeltWork:
    """Do what was asked to a fitted belt and keep that it was done.

    Refuses with FigureRefused, NameTaken, and BeltChangedMeanwhile if the belt stands otherwise
    than it was shown.
    """
    conveyor = lock_conveyor(conveyor_id)
    belt = row_of(conveyor.belts, belt_id)
    if belt.removed_on is not None:
        raise FigureRefused(_("This belt is off; only a fitted belt is worked on."))
    if asked.done_on > today:
        raise FigureRefused(_("That day is still to come."), "done_on")
    if belt.fitted_on and asked.done_on < belt.fitted_on:
        raise FigureRefused(
            _("The belt was fitted on %(day)s, after that day.") % {"day": belt.fitted_on},
            "done_on",
        )
    stands = belting.standing(belt)
    if asked.stood is not None and asked.stood != belting.fingerprint(stands):
        raise BeltChangedMeanwhile(
            _("Somebody changed the belt while you had it open. Look again at what moves.")
        )
    _before, after = worked_out(belt, asked.operation)
    with constraints_in_words():
        _write(belt, after, asked.done_on)
    work = BeltWork.objects.create(
        belt=belt,
        kind=asked.operation.kind.value,
        done_on=asked.done_on,
        note=asked.note,
        figures=_figures(asked.operation),
        before=stands,
        after=belting.standing(belt),
        kept_at=now,
        kept_by=by,
    )
    touch(conveyor)
    logger.info("Belt %s of %s: %s, by %s.", belt, conveyor, work.kind, by)
    return work


@transaction.atomic
def undo_work(
    *, conveyor_id: int, belt_id: int, work_id: int, by: User | None, now: datetime
) -> None:
    """Put splices, marks and length back as they stood before the last work.

    Refuses with CannotUndo once anything of the belt was changed after it.
    """
    conveyor = lock_conveyor(conveyor_id)
    belt = row_of(conveyor.belts, belt_id)
    work = last_work(belt)
    if work is None or work.pk != work_id or not work.before:
        raise CannotUndo(_("Only the last work on a belt can be undone."))
    if belting.fingerprint(belting.standing(belt)) != belting.fingerprint(work.after):
        raise CannotUndo(_("The belt was changed after that; undo it by hand."))
    _put_back(belt, work.before)
    work.undone_at, work.undone_by = now, by
    work.save(update_fields=["undone_at", "undone_by"])
    touch(conveyor)
    logger.info("Work %s on belt %s of %s undone by %s.", work.pk, belt, conveyor, by)


def last_work(belt: Belt) -> BeltWork | None:
    """The last one that still counts."""
    return belt.works.filter(undone_at__isnull=True).first()


def write_down(
    belt: Belt, kind: WorkKind, *, done_on: date | None, by: User | None, now: datetime
) -> None:
    """Keep that something was done by which nothing on the belt moves."""
    BeltWork.objects.create(belt=belt, kind=kind.value, done_on=done_on, kept_at=now, kept_by=by)


def _write(belt: Belt, after: Belting, done_on: date) -> None:
    belt.length_m = after.length_m
    belt.version += 1
    belt.save()
    _write_joints(belt, after.joints, done_on)
    _write_spots(belt, after.spots)


def _write_joints(belt: Belt, joints: tuple[Joint, ...], done_on: date) -> None:
    stood: dict[Hashable, Splice] = {one.pk: one for one in belt.splices.all()}
    belt.splices.exclude(pk__in=[one.key for one in joints if one.key in stood]).delete()
    for joint in joints:
        row = stood.get(joint.key)
        if row is None:
            row = Splice(belt=belt, name=str(joint.key), made_on=done_on, version=0)
        elif row.belt_position_m == joint.position_m:
            continue
        row.belt_position_m = joint.position_m
        row.version += 1
        row.save()


def _write_spots(belt: Belt, spots: tuple[Spot, ...]) -> None:
    stood: dict[Hashable, BeltMark] = {one.pk: one for one in belt.marks.all()}
    belt.marks.exclude(pk__in=[one.key for one in spots]).delete()
    written = set()
    for spot in spots:
        row = stood[spot.key]
        if spot.key in written:
            # The other part of a mark that was parted.
            row = BeltMark(belt=belt, kind=row.kind, seen_on=row.seen_on, note=row.note, version=0)
        written.add(spot.key)
        row.belt_position_m = spot.position_m
        # A mark whose length nobody wrote down stays one.
        row.length_m = spot.length_m or row.length_m
        row.side = spot.side.value if spot.side else ""
        row.version += 1
        row.save()


def _put_back(belt: Belt, stood: dict[str, Any]) -> None:
    belt.length_m = stood["length_m"]
    belt.version += 1
    belt.save()
    for model, rows, values in (
        (Splice, belt.splices, stood["splices"]),
        (BeltMark, belt.marks, stood["marks"]),
    ):
        there = {one.pk: one.version for one in rows.all()}
        rows.exclude(pk__in=[one["pk"] for one in values]).delete()
        for one in values:
            version = there.get(one["pk"], 0) + 1
            row = model(belt=belt, version=version, **one)
            row.save(force_update=one["pk"] in there, force_insert=one["pk"] not in there)


def _check_names(belt: Belt, after: Belting) -> None:
    """New splices need names of their own among those that stay."""
    kept = {one.key for one in after.joints}
    taken = {one.name.upper() for one in belt.splices.all() if one.pk in kept}
    for name in (one.key for one in after.joints if isinstance(one.key, str)):
        if name.upper() in taken:
            raise FigureRefused(
                _("Another splice of this belt is called %(name)s.") % {"name": name}, "name"
            )
        taken.add(name.upper())


def _figures(operation: Operation) -> dict[str, Any]:
    return dataclasses.asdict(operation)  # type: ignore[call-overload]


def _in_words(error: CannotBe, before: Belting) -> FigureRefused:
    words = {
        "off_the_belt": _("The belt is %(length).1f m long; positions run from 0 m up to that.")
        % {"length": before.length_m},
        "splice_there": _("A splice stands there already."),
        "no_splice_there": _("No splice of this belt stands there."),
        "no_length": _("A section needs a length."),
        "nothing_left": _("Nothing of the belt would be left."),
        "name_needed": _("No splice stands there; give the new one a name."),
    }
    return FigureRefused(words[error.code], error.field)
