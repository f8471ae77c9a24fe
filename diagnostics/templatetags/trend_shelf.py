"""What stands on every page of trends."""

from django import template

from diagnostics import trend_shelf
from diagnostics.trend_shelf import TrendPage

register = template.Library()


@register.simple_tag
def trend_pages() -> list[TrendPage]:
    return trend_shelf.pages()
