"""Figures of meters on pages."""

from decimal import Decimal

from django import template

from plant import meter_words

register = template.Library()


@register.filter
def metered(figure: Decimal | float | None, unit: str) -> str:
    """`12,345.6 h`; nothing for no figure."""
    return "" if figure is None else meter_words.figure_words(float(figure), unit)
