"""Amounts of parts with their unit, the same on every page."""

from decimal import Decimal

from django import template

from workorders.models import Part
from workorders.part_words import amount_words

register = template.Library()


@register.filter
def amount(value: Decimal | None, part: Part) -> str:
    """`6 pcs`; nothing for no amount."""
    return "" if value is None else amount_words(value, part)
