"""Idler sets are made by the hundred, put in, taken out, shifted and numbered anew."""

import logging
from collections.abc import Mapping

import pgtrigger
from django.db import transaction
from django.db.models import CharField, F, Value
from django.db.models.functions import Cast, Concat
from django.utils.translation import gettext as _

from plant.idler_words import refused_change
from plant.loop.idler_changes import Change, Outcome, PutIn, carry_out
from plant.loop.idler_line import IdlerLine
from plant.loop.idler_sets import CannotChange, GroupRow, Regrouping
from plant.loop.vocabulary import ComponentKind
from plant.models import Component, Conveyor, User
from plant.selectors import idlers
from plant.services import following_sets
from plant.services.conveyor_lock import check_loop, lock_conveyor, touch
from plant.services.register_refusals import FieldRefusal, constraints_in_words

logger = logging.getLogger(__name__)

# What a row that stays can have otherwise afterwards.
_CHANGED = ("name", "first_m", "spacing_m", "count", "set_prefix", "first_number")


class IdlersChanged(FieldRefusal):
    """Somebody changed a component after the preview was shown."""

    code = "idlers_changed"


class IdlersRefused(FieldRefusal):
    """The change cannot be carried out on the sets that stand."""

    code = "idlers_refused"


@transaction.atomic
def add_idlers(*, conveyor_id: int, line: IdlerLine, stamp: str, by: User | None) -> Component:
    """Add the group that a line says; refuses with IdlersChanged and GeometryRefused."""
    conveyor = lock_conveyor(conveyor_id)
    _check_stamp(conveyor, stamp)
    component = Component.of_part(conveyor, idlers.new_group(conveyor, line).part)
    if line.angle_deg is not None and line.angle_deg != conveyor.trough_angle_deg:
        component.note = f"{line.angle_deg:g}°"
    check_loop(conveyor, component)
    with constraints_in_words():
        component.save()
    touch(conveyor)
    logger.info("%d sets %s of %s added by %s.", component.count, component.name, conveyor, by)
    return component


@transaction.atomic
def change_idlers(*, conveyor_id: int, change: Change, stamp: str, by: User | None) -> Outcome:
    """Carry out a change; refuses with IdlersChanged, IdlersRefused and GeometryRefused.

    Readings, roll changes and whatever else refers to a set's row follow the set to its row.
    """
    conveyor = lock_conveyor(conveyor_id)
    _check_stamp(conveyor, stamp)
    standing = {one.pk: one for one in conveyor.components.all()}
    try:
        outcome = carry_out(idlers.rows_of(standing.values()), change)
    except CannotChange as refusal:
        raise IdlersRefused(refused_change(refusal), refusal.field) from refusal
    with constraints_in_words():
        _write(conveyor, standing, outcome)
        if isinstance(change, PutIn):
            following_sets.take_up_again(conveyor, outcome)
    check_loop(conveyor)
    touch(conveyor)
    logger.info("Idler sets of %s changed by %s: %s.", conveyor, by, type(change).__name__)
    return outcome


def _check_stamp(conveyor: Conveyor, stamp: str) -> None:
    if stamp != idlers.stamp_of(conveyor):
        raise IdlersChanged(
            _(
                "Somebody changed the components after this was shown. Nothing is saved yet: look "
                "at what would happen now and save again."
            )
        )


def _write(conveyor: Conveyor, standing: Mapping[int, Component], outcome: Outcome) -> None:
    rows = outcome.regrouping.rows
    old = {row.key: row for row in idlers.rows_of(standing.values())}
    changed = [row for row in rows if row.key is not None and row != old[row.key]]
    stays = {row.key for row in rows}
    gone = [pk for pk, one in standing.items() if one.as_part().is_idler and pk not in stays]
    _park([*gone, *(row.key for row in changed if row.key is not None)])
    made = [_saved(conveyor, standing, row, row in changed) for row in rows]
    touched = [*gone, *(row.key for row in changed if row.key is not None)]
    following_sets.follow(touched, made, outcome)
    for pk in gone:
        heir = _heir(pk, made, outcome.regrouping)
        if heir is not None:
            _bequeath(pk, heir)
        standing[pk].delete()


def _park(pks: list[int]) -> None:
    """Take rows out of each other's way: constraints are asked row by row."""
    with pgtrigger.ignore("plant.Component:changed_update"):
        # Nobody moved them there: only where they come to stand is news.
        Component.objects.filter(pk__in=pks).update(
            kind=ComponentKind.STRUCTURE_SECTION.value,
            name=Concat(Value("\x1a "), Cast(F("pk"), CharField())),
        )


def _saved(
    conveyor: Conveyor, standing: Mapping[int, Component], row: GroupRow, is_changed: bool
) -> Component:
    if row.key is not None and not is_changed:
        return standing[row.key]
    said = Component.of_part(conveyor, row.part)
    said.fitted_on, said.note = row.fitted_on, row.note
    if row.key is None:
        said.save()
        return said
    one = standing[row.key]
    for name in _CHANGED:
        setattr(one, name, getattr(said, name))
    one.version += 1
    one.save()
    return one


def _heir(pk: int, made: list[Component], regrouping: Regrouping) -> Component | None:
    """The row that holds the first set left of a row that goes."""
    places = sorted(where for where in regrouping.moved if where[0] == pk)
    return made[regrouping.moved[places[0]][0]] if places else None


def _bequeath(pk: int, heir: Component) -> None:
    """Rows of any room that refer to the row that goes refer to the one that takes its sets."""
    for relation in Component._meta.related_objects:
        if relation.one_to_many:
            field = relation.field.name
            rows = relation.related_model._default_manager.filter(**{field: pk})
            rows.update(**{field: heir})
