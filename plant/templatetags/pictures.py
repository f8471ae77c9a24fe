"""How large the small picture of a row is."""

from typing import Any

from django import template

from plant.pictures import small_measures

register = template.Library()


@register.filter
def small_width(row: Any) -> int:
    return small_measures(row.width, row.height)[0]


@register.filter
def small_height(row: Any) -> int:
    return small_measures(row.width, row.height)[1]
