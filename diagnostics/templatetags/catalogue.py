"""Words of the catalogue in templates."""

from django import template

from diagnostics import knowledge_files

register = template.Library()


@register.filter
def cause_name(slug: str) -> str:
    """Name of a cause; the slug itself in words when the catalogue knows it no more."""
    cause = knowledge_files.current().causes.get(slug)
    return cause.name if cause else slug.replace("_", " ")
