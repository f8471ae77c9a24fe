"""Instants on the wire: always UTC, ISO 8601, with Z."""

from datetime import UTC
from typing import Any

from rest_framework import serializers


class UtcTime(serializers.DateTimeField):
    """Says Z whatever time zone the process has active for its pages."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("default_timezone", UTC)
        super().__init__(**options)
