"""What was seen after the work: the belt watched for at least three turns, empty and loaded."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workorders.models.work_order import WorkOrder
from workorders.proof_rules import LEAST_REVOLUTIONS


class ProofRun(models.Model):
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="proof_runs")
    passed = models.BooleanField(_("passed"))
    revolutions_empty = models.PositiveIntegerField(_("turns watched empty"), default=0)
    revolutions_loaded = models.PositiveIntegerField(_("turns watched loaded"), default=0)
    note = models.TextField(_("what was seen"), max_length=2000, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(passed=False)
                | Q(
                    revolutions_empty__gte=LEAST_REVOLUTIONS,
                    revolutions_loaded__gte=LEAST_REVOLUTIONS,
                ),
                name="passed_proof_watched_three_turns",
            ),
            models.CheckConstraint(
                condition=Q(passed=True) | ~Q(note=""), name="failed_proof_says_what_was_seen"
            ),
            models.UniqueConstraint(
                "order", condition=Q(passed=True), name="one_passed_proof_per_order"
            ),
        ]

    def __str__(self) -> str:
        return "passed" if self.passed else "failed"
