"""Lengths along a belt as they are kept: to the millimetre, without idle zeros."""

from django import template
from django.utils import formats

register = template.Library()

_UNIT_SPACE = "\N{NO-BREAK SPACE}"


@register.filter
def exact_metres(length_m: float | None) -> str:
    """`96.8 m`; nothing for what is not known."""
    if length_m is None:
        return ""
    text = f"{length_m:.3f}".rstrip("0").rstrip(".")
    return f"{formats.number_format(text, use_l10n=True)}{_UNIT_SPACE}m"
