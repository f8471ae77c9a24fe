"""What a plant's base rates are made of besides its cases: how much the start weighs, and which
cases do not count. Rows are only added or ended, so that they are their own history.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.inference import base_rates
from diagnostics.inference.base_rates import PriorWeights

LEAST_CASES, MOST_CASES = 0.1, 10_000.0


_BOUNDS = [MinValueValidator(LEAST_CASES), MaxValueValidator(MOST_CASES)]


class BaseRateWeights(models.Model):
    """How much what was known before any case weighs at a plant; the newest row is in force."""

    plant = models.ForeignKey(
        "plant.Plant", models.CASCADE, related_name="base_rate_weights", verbose_name=_("plant")
    )
    start_cases = models.FloatField(
        _("the even start"), default=base_rates.START_CASES, validators=_BOUNDS
    )
    plant_cases = models.FloatField(
        _("the plant"), default=base_rates.PLANT_CASES, validators=_BOUNDS
    )
    catalogue_cases = models.FloatField(
        _("the catalogue"), default=base_rates.CATALOGUE_CASES, validators=_BOUNDS
    )
    set_at = models.DateTimeField(_("set"))
    set_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")
    why = models.CharField(_("why"), max_length=400)

    class Meta:
        ordering = ["-set_at", "-pk"]
        verbose_name_plural = "base rate weights"
        indexes = [models.Index(fields=["plant", "-set_at"], name="weights_by_plant")]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    start_cases__range=(LEAST_CASES, MOST_CASES),
                    plant_cases__range=(LEAST_CASES, MOST_CASES),
                    catalogue_cases__range=(LEAST_CASES, MOST_CASES),
                ),
                name="base_rate_weights_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.start_cases:g} / {self.plant_cases:g} / {self.catalogue_cases:g}"

    @property
    def weights(self) -> PriorWeights:
        return PriorWeights(self.start_cases, self.plant_cases, self.catalogue_cases)


class SetAside(models.Model):
    """A case that does not count for base rates and hit rates, until it is taken in again."""

    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="set_asides")
    set_at = models.DateTimeField(_("set aside"))
    set_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")
    why = models.CharField(_("why"), max_length=400)
    taken_in_at = models.DateTimeField(_("taken in again"), null=True, blank=True)
    taken_in_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")
    taken_in_why = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-set_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                "case", condition=Q(taken_in_at__isnull=True), name="case_set_aside_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id}: {self.why}"
