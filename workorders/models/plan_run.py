"""One proposal of who does which job in which outage window; owed until a worker has solved it."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class PlanRun(models.Model):
    """Nothing of it touches an order before a planner takes it."""

    class State(models.TextChoices):
        OWED = "owed", _("waiting to be worked out")
        PROPOSED = "proposed", _("proposed")
        TAKEN = "taken", _("taken")
        LEFT = "left", _("left, nothing was changed")
        STOPPED = "stopped", _("stopped")
        FAILED = "failed", _("not worked out")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="plan_runs")
    from_at = models.DateTimeField(_("from"))
    until_at = models.DateTimeField(_("until"))
    state = models.CharField(max_length=10, choices=State.choices, default=State.OWED)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    begun = models.PositiveSmallIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    # {"objective": ..., "done": [...]}: how far it is, for the page.
    progress = models.JSONField(default=dict)
    # Placements, jobs left out with reasons, objectives with gaps; the shape is that of
    # workorders/planning/outages.
    result = models.JSONField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects: ClassVar = models.Manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        indexes = [
            models.Index(fields=["asked_at"], name="plan_run_owed", condition=Q(state="owed"))
        ]

    def __str__(self) -> str:
        return f"{self.from_at:%Y-%m-%d} to {self.until_at:%Y-%m-%d}: {self.state}"
