"""What people read about parts: amounts with their unit, what is short and until when."""

from decimal import Decimal

from django.utils import formats
from django.utils.translation import gettext as _

from workorders.models import OrderPart, Part
from workorders.planning.parts_supply import Covered

# A figure and its unit stay on one line.
_UNIT_SPACE = "\N{NO-BREAK SPACE}"


def figure(amount: Decimal) -> str:
    """Without zeros that say nothing: 6, 2.5, 0."""
    return formats.number_format(plain(amount), use_l10n=True)


def plain(amount: Decimal) -> Decimal:
    """The same amount without zeros at its end, and never in powers of ten."""
    whole = amount == amount.to_integral_value()
    return amount.quantize(Decimal(1)) if whole else amount.normalize()


def amount_words(amount: Decimal, part: Part) -> str:
    """`6 pcs`, `1 set`."""
    return f"{figure(amount)}{_UNIT_SPACE}{_unit(amount, part)}"


def _unit(amount: Decimal, part: Part) -> str:
    is_one = abs(amount) == 1
    match part.unit:
        case Part.Unit.PIECE:
            return _("pc") if is_one else _("pcs")
        case Part.Unit.SET:
            return _("set") if is_one else _("sets")
    return str(part.get_unit_display())


def short_words(line: OrderPart, short: Decimal) -> str:
    """`2 pcs of LT-R-159 (carrying roll)`."""
    return _("%(amount)s of %(number)s (%(name)s)") % {
        "amount": amount_words(short, line.part),
        "number": line.part.number,
        "name": line.part.name,
    }


def covered_words(covered: Covered, part: Part) -> str:
    """How far a need is covered; empty when all of it is here."""
    said = [
        _("%(amount)s come on %(day)s")
        % {
            "amount": amount_words(one.amount, part),
            "day": formats.date_format(one.due_on, "Y-m-d"),
        }
        for one in covered.coming
    ]
    if covered.short:
        said.append(_("short by %(amount)s") % {"amount": amount_words(covered.short, part)})
    return ", ".join(said)
