"""Something that wears was made new: lagging, a blade, a bearing, a cover, the take-up's travel.

Rolls are not here: their changes are the register's (`plant.RollChange`).
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from workorders.life_subjects import RENEWED_WORDS, Renewed


class RenewalQuerySet(models.QuerySet["Renewal"]):
    def counting(self) -> "RenewalQuerySet":
        return self.filter(undone_at__isnull=True)


class Renewal(models.Model):
    """Never changed, only taken back. Readings of before the day do not count for wear."""

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="renewals")
    component = models.ForeignKey(
        "plant.Component", models.CASCADE, null=True, blank=True, related_name="renewals"
    )
    belt = models.ForeignKey(
        "plant.Belt", models.CASCADE, null=True, blank=True, related_name="renewals"
    )
    set_number = models.PositiveIntegerField(
        _("set"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20_000)],
    )
    # Empty: all of it, such as the lagging from edge to edge.
    spot = models.CharField(_("spot"), max_length=40, blank=True)
    what = models.CharField(
        _("what"), max_length=12, choices=[(one.value, RENEWED_WORDS[one]) for one in Renewed]
    )
    renewed_on = models.DateField(_("renewed"), validators=[check_day])
    had_failed = models.BooleanField(_("it had failed or met its limit"), default=True)
    order = models.ForeignKey(
        "workorders.WorkOrder", models.SET_NULL, null=True, blank=True, related_name="renewals"
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = RenewalQuerySet.as_manager()

    class Meta:
        ordering = ["-renewed_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(component__isnull=True) ^ Q(belt__isnull=True),
                name="renewal_of_component_or_belt",
            ),
            models.UniqueConstraint(
                fields=["component", "belt", "set_number", "spot", "what", "renewed_on"],
                condition=Q(undone_at__isnull=True),
                nulls_distinct=False,
                name="one_renewal_of_a_place_a_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} {self.renewed_on}"
