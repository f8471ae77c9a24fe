"""Rolls changed and work done on the belt, as the register keeps them."""

from collections.abc import Iterator
from datetime import date

from django.db.models import Count
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.replacements import Replacement
from plant.loop.belt_operations import WorkKind
from plant.models import Belt, BeltWork, Conveyor

# Counting positions from another splice changes nothing that wears.
_NOT_NEW = (WorkKind.REFERENCE.value, WorkKind.TAKEN_OFF.value)


def register_replacements(conveyor: Conveyor, first: date, last: date) -> Iterator[Replacement]:
    """Three queries."""
    yield from _rolls(conveyor, first, last)
    works = list(
        BeltWork.objects.filter(
            belt__conveyor=conveyor, undone_at__isnull=True, done_on__range=(first, last)
        )
        .exclude(kind__in=_NOT_NEW)
        .select_related("belt")
    )
    address = reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])
    for work in works:
        assert work.done_on is not None
        yield Replacement(
            work.done_on, _("Belt"), f"{work.belt}: {work.get_kind_display()}", address
        )
    told = {(one.belt_id, one.done_on) for one in works if one.kind == WorkKind.FITTED.value}
    for belt in Belt.objects.filter(conveyor=conveyor, fitted_on__range=(first, last)):
        # Belts that came with a list have no work behind them.
        if belt.fitted_on is not None and (belt.pk, belt.fitted_on) not in told:
            yield Replacement(
                belt.fitted_on, _("Belt"), _("%(belt)s: fitted") % {"belt": belt}, address
            )


def _rolls(conveyor: Conveyor, first: date, last: date) -> Iterator[Replacement]:
    """Of one group on one day as one."""
    rows = (
        conveyor.roll_changes.filter(undone_at__isnull=True, changed_on__range=(first, last))
        .order_by("changed_on", "component__name")
        .values_list("changed_on", "component__name")
        .annotate(many=Count("pk"))
    )
    address = reverse("roll-changes", args=[conveyor.plant.code, conveyor.tag])
    for day, group, many in rows:
        told = ngettext("%(many)s roll", "%(many)s rolls", many) % {"many": many}
        yield Replacement(day, _("Rolls"), f"{group}: {told}" if group else told, address)
