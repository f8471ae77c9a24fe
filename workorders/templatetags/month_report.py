"""The month of a report in words."""

from django import template

from workorders.month import Month
from workorders.month_report_shown import words

register = template.Library()


@register.filter
def month_words(month: Month) -> str:
    return words.month_words(month)
