"""Instants on the wire: always UTC, ISO 8601, with Z."""

from datetime import UTC, datetime
from typing import Any

from django_filters import fields, filters
from rest_framework import serializers

_FIRST, _LAST = datetime.min.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC)


class UtcTime(serializers.DateTimeField):
    """Says Z whatever time zone the process has active for its pages."""

    default_error_messages = {
        "no_zone": "Say the zone: end it with Z, or with an offset such as -03:00."
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("default_timezone", UTC)
        super().__init__(**options)

    def enforce_timezone(self, value: datetime) -> datetime:
        """What came without a zone could be hours off, and nobody would see it."""
        if value.tzinfo is None:
            self.fail("no_zone")
        return super().enforce_timezone(value)


def in_utc(at: datetime) -> datetime:
    """The same instant in UTC, or the first or last one there is: zones reach beyond the calendar.

    The database knows no zone more than 16 hours off, Python knows them up to 24.
    """
    try:
        return at.astimezone(UTC)
    except OverflowError:
        return _FIRST if at.year == _FIRST.year else _LAST


class _InstantField(fields.IsoDateTimeField):
    def clean(self, value: Any) -> datetime | None:
        at = super().clean(value)
        return None if at is None else in_utc(at)


class InstantFilter(filters.IsoDateTimeFilter):
    """An instant in any zone, compared in UTC."""

    field_class = _InstantField
