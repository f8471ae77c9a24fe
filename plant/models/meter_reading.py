"""One reading of a conveyor's meter: running hours or tonnes."""

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.metering.readings import MeterQuantity, Reading, WentOn

METER_WORDS: dict[MeterQuantity, str | Promise] = {
    MeterQuantity.RUNNING_HOURS: _("running hours"),
    MeterQuantity.TONNES: _("tonnes"),
}
WENT_ON_WORDS: dict[WentOn, str | Promise] = {
    WentOn.USUAL: _("as usual"),
    WentOn.ROLLED_OVER: _("rolled over"),
    WentOn.REPLACED: _("meter replaced"),
}
LARGEST = Decimal(999_999_999)
FEWEST_DIGITS, MOST_DIGITS = 3, 9


def _figure_field(label: Any) -> models.DecimalField:
    bounds = [MinValueValidator(Decimal(0)), MaxValueValidator(LARGEST)]
    return models.DecimalField(
        label, max_digits=12, decimal_places=3, null=True, blank=True, validators=bounds
    )


class MeterReading(models.Model):
    """Never changed: a wrong one is taken back and written again."""

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="meter_readings")
    quantity = models.CharField(
        _("meter"), max_length=16, choices=[(one.value, METER_WORDS[one]) for one in MeterQuantity]
    )
    read_at = models.DateTimeField(_("read"))
    # Empty only when a meter was replaced that nobody had read.
    reading = _figure_field(_("reading"))
    went_on = models.CharField(
        _("how the meter went on"),
        max_length=12,
        choices=[(one.value, WENT_ON_WORDS[one]) for one in WentOn],
        default=WentOn.USUAL.value,
    )
    digits = models.PositiveSmallIntegerField(
        _("whole digits of the meter"),
        null=True,
        blank=True,
        validators=[MinValueValidator(FEWEST_DIGITS), MaxValueValidator(MOST_DIGITS)],
    )
    new_meter_first = _figure_field(_("first reading of the new meter"))
    read_by = models.CharField(_("read by"), max_length=80, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    kept_at = models.DateTimeField(auto_now_add=True)
    kept_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, editable=False)

    class Meta:
        ordering = ["-read_at", "-pk"]
        indexes = [models.Index(fields=["kept_at"], name="meter_reading_by_keeping")]
        constraints = [
            models.UniqueConstraint(
                fields=["conveyor", "quantity", "read_at"], name="one_meter_reading_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(reading__isnull=False) | Q(went_on=WentOn.REPLACED.value),
                name="meter_reading_has_figure",
            ),
            models.CheckConstraint(
                condition=Q(new_meter_first__isnull=True) ^ Q(went_on=WentOn.REPLACED.value),
                name="new_meter_has_first_reading",
            ),
            models.CheckConstraint(
                condition=Q(digits__isnull=True) ^ Q(went_on=WentOn.ROLLED_OVER.value),
                name="rolled_over_meter_has_digits",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_quantity_display()} {self.reading} {self.unit}"

    @property
    def unit(self) -> str:
        return MeterQuantity(self.quantity).unit

    def as_reading(self) -> Reading:
        """This row as the pure metering sees it."""
        return Reading(
            at=self.read_at,
            figure=None if self.reading is None else float(self.reading),
            went_on=WentOn(self.went_on),
            digits=self.digits,
            new_first=None if self.new_meter_first is None else float(self.new_meter_first),
        )
