"""Words of the catalogue in templates."""

from collections.abc import Mapping
from typing import Any

from django import template
from django.urls import reverse
from django.utils.functional import Promise

from diagnostics.knowledge_words import SEARCH_KIND_WORDS
from diagnostics.selectors import shelf
from plant.models import Plant

register = template.Library()


@register.filter
def cause_name(slug: str, plant: Plant) -> str:
    """Name of a cause as the plant calls it; the slug itself in words when nobody knows it."""
    cause = shelf.shown_cause(plant.pk, slug) if slug else None
    return cause.name if cause else slug.replace("_", " ")


@register.simple_tag
def cause_address(slug: str, plant: Plant) -> str:
    """The page of a cause as the plant knows it."""
    return f"{reverse('cause', args=[slug])}?plant={plant.code}"


@register.filter
def of_key(rows: Mapping[str, Any], key: str) -> Any:
    """The row of a key, None when there is none."""
    return rows.get(key)


@register.filter
def kind_words(kind: str) -> str | Promise:
    """What an entry that was found is."""
    return SEARCH_KIND_WORDS[kind]
