"""The value at which a part must be renewed, for a plant, one conveyor or one component.

Rows are only added and taken back: of those that count, the newest of a scope is in force.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.loop.condition import Quantity
from plant.models.condition_reading import QUANTITY_WORDS


class ConditionLimitQuerySet(models.QuerySet["ConditionLimit"]):
    def counting(self) -> "ConditionLimitQuerySet":
        return self.filter(undone_at__isnull=True)


class ConditionLimit(models.Model):
    """`value` is in the unit of the quantity; without one the wider scope counts again."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="condition_limits")
    conveyor = models.ForeignKey(
        "plant.Conveyor", models.CASCADE, null=True, blank=True, related_name="condition_limits"
    )
    component = models.ForeignKey(
        "plant.Component", models.CASCADE, null=True, blank=True, related_name="condition_limits"
    )
    quantity = models.CharField(
        _("quantity"),
        max_length=32,
        choices=[(one.value, QUANTITY_WORDS[one]) for one in Quantity],
    )
    value = models.FloatField(
        _("limit"),
        null=True,
        blank=True,
        validators=[MinValueValidator(-100), MaxValueValidator(10_000)],
    )
    why = models.CharField(_("why"), max_length=200, blank=True)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = ConditionLimitQuerySet.as_manager()

    class Meta:
        ordering = ["-set_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(component__isnull=True) | Q(conveyor__isnull=False),
                name="limit_of_component_names_conveyor",
            ),
        ]
        indexes = [models.Index(fields=["plant", "quantity", "-set_at"], name="limit_newest")]

    def __str__(self) -> str:
        return f"{self.get_quantity_display()} {self.value}"
