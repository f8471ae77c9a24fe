"""Where a part fits is said, and unsaid."""

import logging
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import FieldRefusal, RowIsGone
from workorders.models import PartUse
from workorders.planning.part_places import BELT, OF_ROLLS, CountedBy
from workorders.services.part_stock import lock_part

logger = logging.getLogger(__name__)

MOST_USES = 30


class UseSaidBefore(FieldRefusal):
    code = "part_use_said_before"


class UseCannotBe(FieldRefusal):
    code = "part_use_cannot_be"


@transaction.atomic
def add_use(*, part_id: int, values: Mapping[str, Any], by: User | None) -> PartUse:
    """Say where a part fits; refuses with UseCannotBe and UseSaidBefore."""
    part = lock_part(part_id)
    use = PartUse(part=part, **values)
    _check_use(use)
    if part.uses.count() >= MOST_USES:
        raise UseCannotBe(_("At most %(most)d places are kept.") % {"most": MOST_USES})
    if any(_same(use, other) for other in part.uses.all()):
        raise UseSaidBefore(_("That is said already."))
    use.save()
    logger.info("Part %s fits on %s, says %s.", part.number, use.on, by)
    return use


@transaction.atomic
def remove_use(*, part_id: int, use_id: int, by: User | None) -> None:
    """Asked first by the page; it can be said again."""
    part = lock_part(part_id)
    if not part.uses.filter(pk=use_id).delete()[0]:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    logger.info("A place of part %s removed by %s.", part.number, by)


def _check_use(use: PartUse) -> None:
    by = CountedBy(use.by)
    is_idler = use.on.endswith(("_idlers", "_idler"))
    if by in OF_ROLLS and not is_idler:
        raise UseCannotBe(_("Only idler sets have rolls."), "by")
    if by is CountedBy.METRE and is_idler:
        raise UseCannotBe(_("Idler sets are counted one by one or by their rolls."), "by")
    if use.on == BELT and (use.name or use.diameter_mm is not None):
        field = "name" if use.name else "diameter_mm"
        raise UseCannotBe(_("A belt has none; say its width, strength or conveyor."), field)
    if use.conveyor is not None and use.conveyor.plant_id != use.part.plant_id:
        raise UseCannotBe(_("That conveyor belongs to another plant."), "conveyor")


def _same(one: PartUse, other: PartUse) -> bool:
    names = (
        "on", "by", "conveyor_id", "name", "belt_width_mm", "belt_strength_n_mm", "diameter_mm"
    )  # fmt: skip
    return all(getattr(one, name) == getattr(other, name) for name in names)
