"""Fields of what other systems write about work, bounded as the columns and the calendar are."""

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from plant.api.times import UtcTime
from plant.days import check_day
from workorders.services.moving import WHY_LENGTH


def day(**options: Any) -> serializers.DateField:
    return serializers.DateField(validators=[check_day], **options)


def instant(**options: Any) -> UtcTime:
    return UtcTime(validators=[check_day], **options)


def words(length: int = WHY_LENGTH, **options: Any) -> serializers.CharField:
    """A text that may be left out; null is the same as none."""
    return serializers.CharField(
        max_length=length, allow_blank=True, allow_null=True, required=False, **options
    )


def lines(help_text: str, *, length: int = 200) -> serializers.ListField:
    return serializers.ListField(
        child=serializers.CharField(max_length=length),
        max_length=100,
        required=False,
        help_text=help_text,
    )


def figure(whole_digits: int, **options: Any) -> serializers.DecimalField:
    """With at most two decimals, above nothing unless said otherwise."""
    least = options.pop("least", Decimal("0.01"))
    return serializers.DecimalField(
        max_digits=whole_digits + 2,
        decimal_places=2,
        min_value=least,
        coerce_to_string=False,
        **options,
    )
