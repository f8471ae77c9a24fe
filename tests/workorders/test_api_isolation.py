"""Every resource of the API, found by itself, shows its rows through the asking key alone.

What each then answers to another plant's key is asked in tests/test_every_endpoint.py.
"""

from collections.abc import Iterator

import pytest
from django.urls import URLPattern, URLResolver, get_resolver
from rest_framework.views import APIView

from plant.api.rows import RowsOfTheKey


def api_patterns() -> Iterator[URLPattern]:
    def walk(patterns: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns)
            else:
                yield pattern

    for entry in get_resolver().url_patterns:
        if isinstance(entry, URLResolver) and str(entry.pattern) == "api/v1/":
            yield from walk(entry.url_patterns)


def view_class(pattern: URLPattern) -> type[APIView] | None:
    return getattr(pattern.callback, "cls", None)


RESOURCES = [pattern for pattern in api_patterns() if view_class(pattern)]
# The description of the API and the answer for unknown addresses show no rows.
OPEN = {"plant.api.schema.openapi_document", "plant.config.api_errors.unknown_address"}


def test_the_api_has_resources_and_nothing_else_that_is_not_named_here() -> None:
    others = {
        f"{one.callback.__module__}.{one.callback.__name__}"
        for one in api_patterns()
        if not view_class(one)
    }

    assert len(RESOURCES) >= 4
    assert others <= OPEN


@pytest.mark.parametrize("pattern", RESOURCES, ids=[pattern.name for pattern in RESOURCES])
def test_every_resource_shows_rows_through_the_asking_key(pattern: URLPattern) -> None:
    view = view_class(pattern)

    assert issubclass(view, RowsOfTheKey)
    # `queryset` is narrowed in one place; a view that did it again could forget the plant.
    assert view.get_queryset is RowsOfTheKey.get_queryset
