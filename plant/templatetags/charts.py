"""What a page with charts loads: once, however many charts it shows."""

from django import template
from django.template.context import Context

register = template.Library()
_LOADED = "_has_what_charts_need"


@register.simple_tag(takes_context=True)
def first_chart(context: Context) -> bool:
    """Whether no chart stood on this page before."""
    request = context.get("request")
    if request is None:
        return True
    is_first = not getattr(request, _LOADED, False)
    setattr(request, _LOADED, True)
    return is_first
