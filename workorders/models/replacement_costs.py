"""What it costs to renew one of a kind before it fails and at its failure, as a plant says it."""

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned
from workorders.life_subjects import LifeSubject

_MOST = Decimal(1_000_000_000)
_LEAST = Decimal("0.01")


def _money(label: Any, least: Decimal = Decimal(0), **more: Any) -> models.DecimalField:
    bounds = [MinValueValidator(least), MaxValueValidator(_MOST)]
    return models.DecimalField(label, max_digits=12, decimal_places=2, validators=bounds, **more)


def _hours(label: Any, **more: Any) -> models.DecimalField:
    bounds = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(1000))]
    return models.DecimalField(
        label, max_digits=7, decimal_places=3, default=Decimal(0), validators=bounds, **more
    )


class ReplacementCosts(Versioned):
    """One currency, the plant's own. The figures of a visit count for idlers alone."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="replacement_costs")
    subject = models.CharField(
        max_length=24, choices=[(one.value, one.value) for one in LifeSubject]
    )
    planned_cost = _money(
        _("one planned replacement"),
        _LEAST,
        help_text=_("The new part and fitting it while the belt stands anyway."),
    )
    failure_cost = _money(
        _("one replacement at its failure"),
        _LEAST,
        help_text=_("All of it: the part, the way there, isolation, the stop nobody planned."),
    )
    visit_cost = _money(
        _("a planned visit, whatever is replaced"),
        default=Decimal(0),
        help_text=_("Crew, way there, isolation; once for all rolls of the visit."),
    )
    hours_each = _hours(
        _("hours one more roll takes"), help_text=_("How long the belt stands for it.")
    )
    free_stop_h = _hours(
        _("hours the belt stands anyway"), help_text=_("At a planned visit, such as a weekly stop.")
    )
    stop_cost_per_h = _money(_("what an hour of standing beyond that costs"), default=Decimal(0))
    kept_at = models.DateTimeField(editable=False)
    kept_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, editable=False)

    class Meta:
        verbose_name_plural = "replacement costs"
        constraints = [
            models.UniqueConstraint(fields=["plant", "subject"], name="one_cost_of_a_kind"),
            models.CheckConstraint(
                condition=Q(planned_cost__gt=0, failure_cost__gt=0), name="costs_above_nothing"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.subject}: {self.planned_cost} / {self.failure_cost}"
