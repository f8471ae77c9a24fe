"""Rolls of idler sets are changed, one or hundreds at a time; what was wrong is taken back."""

import logging
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.loop.idler_sets import IdlerSet, sets_of
from plant.loop.rolls import RollPlace, WhyChanged, rolls_of
from plant.loop.set_choice import CannotChoose, choose_sets
from plant.models import Component, Conveyor, RollChange, User
from plant.roll_words import refused_choice, roll_words, set_words
from plant.selectors.idlers import rows_of
from plant.services.conveyor_lock import lock_conveyor, note_change
from plant.services.register_refusals import FieldRefusal, FigureRefused, row_of

logger = logging.getLogger(__name__)

# All rolls of the longest group at once are written down by a file.
MOST_AT_ONCE = 3000
_NAMED = 5


class RollIsChangedThen(FieldRefusal):
    """The change of a roll on that day is written down already."""

    code = "roll_is_changed_then"


@dataclass(frozen=True)
class Changed:
    """What was changed; `sets` as somebody typed them, of the group's series where not named."""

    sets: str
    rolls: Sequence[RollPlace]
    changed_on: date
    why: WhyChanged
    fitted: str = ""
    changed_by: str = ""
    note: str = ""


@transaction.atomic
def change_rolls(
    *, conveyor_id: int, component_id: int, changed: Changed, by: User | None, today: date
) -> list[RollChange]:
    """Write down that rolls were changed, all or none.

    Refuses with FigureRefused (no such set or roll, a day that cannot be) and RollIsChangedThen.
    """
    conveyor = lock_conveyor(conveyor_id)
    components = {one.pk: one for one in conveyor.components.all()}
    if component_id not in components:
        row_of(conveyor.components, component_id)
    sets = _sets_meant(components[component_id], list(components.values()), changed.sets)
    if len(sets) * len(changed.rolls) > MOST_AT_ONCE:
        raise FigureRefused(
            _("At most %(most)d rolls are written down at once.") % {"most": MOST_AT_ONCE}, "sets"
        )
    if changed.changed_on > today:
        raise FigureRefused(_("That day is still to come."), "changed_on")
    rows = [
        _row(conveyor, components, one, roll, changed, by) for one in sets for roll in changed.rolls
    ]
    _check_not_kept(conveyor, rows)
    together = uuid.uuid4()
    for row in rows:
        row.together = together
    made = RollChange.objects.bulk_create(rows)
    note_change(conveyor)
    logger.info("%d rolls of %s changed, written down by %s.", len(made), conveyor, by)
    return made


@transaction.atomic
def take_back_change(
    *, conveyor_id: int, change_id: int, with_others: bool, by: User, now: datetime
) -> int:
    """Take back one change, or all that were written down with it; says how many."""
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.roll_changes, change_id)
    rows = conveyor.roll_changes.filter(undone_at__isnull=True)
    if with_others and row.together:
        rows = rows.filter(together=row.together)
    else:
        rows = rows.filter(pk=row.pk)
    count = rows.update(undone_at=now, undone_by=by)
    note_change(conveyor)
    logger.info("%d roll changes of %s taken back by %s.", count, conveyor, by)
    return count


@transaction.atomic
def put_back_change(*, conveyor_id: int, change_id: int, by: User) -> None:
    """Let a change count again that was taken back; refuses with RollIsChangedThen."""
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.roll_changes, change_id)
    if row.undone_at is None:
        return
    if row.set_number is not None:
        _check_not_kept(conveyor, [row])
    row.undone_at = row.undone_by = None
    row.version += 1
    row.save()
    note_change(conveyor)
    logger.info("Roll change %s of %s put back by %s.", row.pk, conveyor, by)


def _sets_meant(component: Component, components: list[Component], typed: str) -> list[IdlerSet]:
    prefix = component.as_part().prefix
    try:
        return choose_sets(typed, sets_of(rows_of(components)), prefix)
    except CannotChoose as refusal:
        raise FigureRefused(refused_choice(refusal), "sets") from refusal


def _row(
    conveyor: Conveyor,
    components: dict[int, Component],
    one: IdlerSet,
    roll: RollPlace,
    changed: Changed,
    by: User | None,
) -> RollChange:
    assert one.key is not None
    component = components[one.key]
    part = component.as_part()
    rolls = rolls_of(part, conveyor.trough_angle_deg)
    name = set_words(part, one.place)
    if roll not in rolls:
        raise FigureRefused(
            _("%(name)s has no %(roll)s.") % {"name": name, "roll": roll_words(roll.value)},
            "rolls",
        )
    if component.fitted_on and changed.changed_on < component.fitted_on:
        raise FigureRefused(
            _("%(name)s was fitted on %(day)s, after that day.")
            % {"name": name, "day": component.fitted_on},
            "changed_on",
        )
    return RollChange(
        conveyor=conveyor,
        component=component,
        set_number=one.place,
        set_name=name,
        roll=roll.value,
        changed_on=changed.changed_on,
        why=changed.why.value,
        fitted=changed.fitted,
        changed_by=changed.changed_by,
        note=changed.note,
        kept_by=by,
    )


def _check_not_kept(conveyor: Conveyor, rows: list[RollChange]) -> None:
    asked = {(row.component_id, row.set_number, row.roll): row for row in rows}
    days = {row.changed_on for row in rows}
    kept = conveyor.roll_changes.filter(undone_at__isnull=True, changed_on__in=days)
    told = kept.values_list("component_id", "set_number", "roll")
    twice = [asked[key] for key in asked.keys() & set(told)]
    if not twice:
        return
    names = sorted({row.set_name for row in twice})
    said = ", ".join(names[:_NAMED]) + ("…" if len(names) > _NAMED else "")
    raise RollIsChangedThen(
        _("Already written down for that day: %(sets)s.") % {"sets": said}, "sets"
    )
