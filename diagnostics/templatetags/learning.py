"""Figures of what was learned in templates."""

import math

from django import template
from django.utils import formats

register = template.Library()


@register.filter
def as_factor(log_gain: float) -> str:
    """A natural logarithm as the factor it stands for: `0.820`, large ones with fewer digits."""
    # Beyond this nobody compares any more, and the exponential would pass what is printed.
    factor = math.exp(max(min(log_gain, 9.0), -9.0))
    digits = 3 if 0.1 <= factor < 10 else 1 if factor >= 10 else 4
    return formats.number_format(round(factor, digits), digits)
