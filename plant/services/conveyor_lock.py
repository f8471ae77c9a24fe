"""One writer at a time in the register of a conveyor, its loop checked before anybody sees it."""

from collections.abc import Collection

from plant import signals
from plant.loop.checks import check_parts, the_ends
from plant.loop.parts import GeometryError, IncompleteLoopError
from plant.models import Component, Conveyor
from plant.services.register_refusals import refused_geometry


def lock_conveyor(conveyor_id: int) -> Conveyor:
    """The conveyor's row, locked until the transaction ends.

    Rules across its components hold only if nobody else moves one of them meanwhile.
    """
    # NO KEY UPDATE: rows that merely refer to the conveyor, such as complaints, need not wait.
    rows = Conveyor.objects.select_for_update(of=("self",), no_key=True).select_related("plant")
    return rows.get(pk=conveyor_id)


def lock_conveyors(conveyor_ids: Collection[int]) -> None:
    """Several at once, in an order that is always the same, so that nobody waits in a ring."""
    rows = Conveyor.objects.select_for_update(of=("self",), no_key=True)
    list(rows.filter(pk__in=conveyor_ids).order_by("pk").values_list("pk", flat=True))


def check_loop(conveyor: Conveyor, changed: Component | None = None) -> None:
    """Refuse with GeometryRefused what cannot be; head or tail may still be missing.

    `changed` stands in for its own row: it is checked before it is saved.
    """
    rows = conveyor.components.exclude(pk=changed.pk) if changed else conveyor.components.all()
    parts = [component.as_part() for component in rows]
    if changed:
        parts.append(changed.as_part())
    try:
        the_ends(check_parts(parts))
    except IncompleteLoopError:
        return
    except GeometryError as error:
        raise refused_geometry(error) from error


def touch(conveyor: Conveyor) -> None:
    """Note that something under the conveyor has changed."""
    conveyor.save(update_fields=["changed_at"])
    tell_changed(conveyor)


def note_change(conveyor: Conveyor) -> None:
    """Note that a record of the conveyor has changed; its belt line has not.

    A file that was compared with the register before is compared again; nobody thinks anew.
    """
    conveyor.save(update_fields=["changed_at"])


def tell_changed(conveyor: Conveyor) -> None:
    """Let the rooms above know, within the transaction."""
    signals.register_changed.send(sender=Conveyor, conveyor=conveyor, now=conveyor.changed_at)
