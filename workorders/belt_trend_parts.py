"""What work knows for a belt's page of recurring faults: mends, replacements, renewals."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _

from diagnostics import replacements
from diagnostics.belt_trend import parts
from diagnostics.belt_trend.parts import Part
from diagnostics.replacements import Replacement
from plant.models import Conveyor
from workorders import belt_mends, belt_replacements
from workorders.models import Renewal


def register() -> None:
    parts.register(Part(60, "mends", belt_mends.build))
    parts.register(Part(70, "replacements", belt_replacements.build))
    replacements.register("renewals", renewals_between)


def renewals_between(conveyor: Conveyor, first: date, last: date) -> Iterator[Replacement]:
    """One query."""
    rows = Renewal.objects.counting().filter(conveyor=conveyor, renewed_on__range=(first, last))
    address = reverse("wear", args=[conveyor.plant.code, conveyor.tag])
    for row in rows.select_related("component", "belt"):
        where = row.component.name if row.component else str(row.belt)
        words = _("%(where)s, %(spot)s") % {"where": where, "spot": row.spot} if row.spot else where
        kind = str(row.get_what_display())
        yield Replacement(row.renewed_on, kind[:1].upper() + kind[1:], words, address)
