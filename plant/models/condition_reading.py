"""One reading of the condition of a component or of the belting, from which wear is told."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.loop.condition import Quantity
from plant.models.versioned import Versioned

QUANTITY_WORDS: dict[Quantity, str | Promise] = {
    Quantity.LAGGING_THICKNESS: _("lagging thickness"),
    Quantity.ROLL_SHELL_THICKNESS: _("roll shell thickness"),
    Quantity.BEARING_TEMPERATURE: _("bearing temperature"),
    Quantity.NOISE_GRADE: _("bearing noise grade"),
    Quantity.BLADE_THICKNESS: _("blade thickness"),
    Quantity.TAKE_UP_TRAVEL_USED: _("take-up travel used"),
    Quantity.CARRY_COVER_THICKNESS: _("carry cover thickness"),
    Quantity.PULLEY_COVER_THICKNESS: _("pulley cover thickness"),
}


class ConditionReading(Versioned):
    """`value` is in the unit of its quantity (`plant/loop/condition.py`)."""

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="readings")
    component = models.ForeignKey(
        "plant.Component", models.CASCADE, null=True, blank=True, related_name="readings"
    )
    belt = models.ForeignKey(
        "plant.Belt", models.CASCADE, null=True, blank=True, related_name="readings"
    )
    set_number = models.PositiveIntegerField(
        _("set"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20_000)],
        help_text=_("Which set of a group, counted in the direction of travel."),
    )
    spot = models.CharField(
        _("spot"), max_length=40, blank=True, help_text=_("Such as left bearing, or middle.")
    )
    quantity = models.CharField(
        _("quantity"),
        max_length=32,
        choices=[(one.value, QUANTITY_WORDS[one]) for one in Quantity],
    )
    value = models.FloatField(
        _("value"), validators=[MinValueValidator(-100), MaxValueValidator(10_000)]
    )
    taken_at = models.DateTimeField(_("taken"))
    taken_by = models.CharField(_("taken by"), max_length=80, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    # Unlikely, looked at again and found right: it is not asked about any more.
    is_sure = models.BooleanField(_("looked at again"), default=False, editable=False)
    kept_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, editable=False)

    class Meta:
        ordering = ["-taken_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(component__isnull=True) ^ Q(belt__isnull=True),
                name="reading_of_component_or_belt",
            ),
            models.UniqueConstraint(
                fields=["component", "belt", "set_number", "spot", "quantity", "taken_at"],
                nulls_distinct=False,
                name="one_reading_at_a_time_and_spot",
            ),
        ]
        indexes = [
            models.Index(fields=["conveyor", "quantity", "taken_at"], name="reading_by_quantity")
        ]

    def __str__(self) -> str:
        return f"{self.get_quantity_display()} {self.value:g} {self.unit}"

    @property
    def unit(self) -> str:
        return Quantity(self.quantity).unit
