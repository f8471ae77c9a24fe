"""Meter readings on the wire; instants are UTC, hours and tonnes are numbers."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from plant import meter_words
from plant.api.bodies import Body
from plant.api.times import UtcTime
from plant.api.words import TextOrNull
from plant.days import FIRST_DAY, LAST_DAY
from plant.metering.readings import MeterQuantity, WentOn, lacks
from plant.models import MeterReading
from plant.models.meter_reading import FEWEST_DIGITS, LARGEST, MOST_DIGITS
from plant.services.reading_meters import NewReading

# Named for the description of the API, where several fields share them.
QUANTITIES = [(one.value, one.value) for one in MeterQuantity]
WAYS = [(one.value, one.value) for one in WentOn]

SENT_METER: dict[str, Any] = {
    "quantity": "running_hours",
    "read_at": "2026-11-02T05:00:00Z",
    "reading": 184.5,
    "went_on": "rolled_over",
    "digits": 5,
    "new_meter_first": None,
    "read_by": "belt weigher of the quay",
    "note": None,
}
KEPT_METER = {
    "id": 77,
    "plant": "LT",
    "conveyor": "Q30",
    **SENT_METER,
    "kept_at": "2026-11-02T05:00:09Z",
}

KEPT = OpenApiExample("A reading", value=KEPT_METER, response_only=True)
SENT = OpenApiExample("A meter that rolled over", value=SENT_METER, request_only=True)


def _figure(**options: Any) -> serializers.DecimalField:
    return serializers.DecimalField(
        max_digits=12,
        decimal_places=3,
        min_value=0,
        max_value=int(LARGEST),
        coerce_to_string=False,
        allow_null=True,
        **options,
    )


@extend_schema_serializer(examples=[KEPT])
class MeterReadingDetail(serializers.ModelSerializer[MeterReading]):
    plant = serializers.CharField(source="conveyor.plant.code")
    conveyor = serializers.CharField(source="conveyor.tag")
    quantity = serializers.ChoiceField(choices=QUANTITIES)
    went_on = serializers.ChoiceField(choices=WAYS)
    read_at = UtcTime()
    # Null where an old meter was replaced that nobody had read.
    reading = serializers.FloatField(allow_null=True)
    digits = serializers.IntegerField(allow_null=True)
    new_meter_first = serializers.FloatField(allow_null=True)
    read_by = TextOrNull()
    note = TextOrNull()
    kept_at = UtcTime()

    class Meta:
        model = MeterReading
        fields = list(KEPT_METER)
        read_only_fields = fields


@extend_schema_serializer(examples=[SENT])
class ReadingSent(Body):
    """A reading as another system sends it."""

    quantity = serializers.ChoiceField(choices=QUANTITIES)
    read_at = UtcTime(help_text="When the meter showed it; with its offset or Z.")
    reading = _figure(
        default=None,
        help_text="Hours or tonnes shown; of a replaced meter its last, null if nobody read it.",
    )
    went_on = serializers.ChoiceField(
        choices=WAYS,
        default=WentOn.USUAL.value,
        help_text="How the meter went on since the reading before.",
    )
    digits = serializers.IntegerField(
        min_value=FEWEST_DIGITS,
        max_value=MOST_DIGITS,
        allow_null=True,
        default=None,
        help_text="Whole digits of a meter that rolled over.",
    )
    new_meter_first = _figure(
        default=None, help_text="What the new meter showed at that time, after a replacement."
    )
    read_by = serializers.CharField(
        max_length=80,
        allow_null=True,
        allow_blank=True,
        default=None,
        help_text="The name of the key's system when left out.",
    )
    note = serializers.CharField(max_length=200, allow_null=True, allow_blank=True, default=None)

    def validate_read_at(self, at: Any) -> Any:
        if not FIRST_DAY <= at.date() <= LAST_DAY:
            raise serializers.ValidationError(
                "Give a day between 1950 and 2199.", code="day_out_of_bounds"
            )
        return at

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        found = lacks(
            WentOn(attrs["went_on"]),
            has_figure=attrs["reading"] is not None,
            has_digits=attrs["digits"] is not None,
            has_new_first=attrs["new_meter_first"] is not None,
        )
        wrong = [(lack, *meter_words.LACK_WORDS[lack]) for lack in found]
        if wrong:
            raise serializers.ValidationError(
                {
                    field: serializers.ErrorDetail(str(words), code=lack.value)
                    for lack, field, words in wrong
                }
            )
        return attrs

    def new_reading(self, key_name: str) -> NewReading:
        filled = self.validated_data
        return NewReading(
            quantity=MeterQuantity(filled["quantity"]),
            read_at=filled["read_at"],
            reading=filled["reading"],
            went_on=WentOn(filled["went_on"]),
            digits=filled["digits"],
            new_meter_first=filled["new_meter_first"],
            read_by=filled["read_by"] or key_name[:80],
            note=filled["note"] or "",
        )
