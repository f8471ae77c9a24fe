"""One proposal of who does which job in which outage window; owed until a worker has solved it."""

from datetime import datetime, timedelta
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _


class PlanRunQuerySet(models.QuerySet["PlanRun"]):
    def owed(self) -> "PlanRunQuerySet":
        return self.filter(state=PlanRun.State.OWED)


class PlanRun(models.Model):
    """Nothing of it touches an order before a planner takes it."""

    class State(models.TextChoices):
        OWED = "owed", _("waiting to be worked out")
        PROPOSED = "proposed", _("proposed")
        TAKEN = "taken", _("taken")
        LEFT = "left", _("left, nothing was changed")
        STOPPED = "stopped", _("stopped")
        PUT_BACK = "put_back", _("taken and put back")
        FAILED = "failed", _("not worked out")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="plan_runs")
    from_at = models.DateTimeField(_("from"))
    until_at = models.DateTimeField(_("until"))
    # Nothing but pinned orders keeps its place; else as much as possible stays.
    from_scratch = models.BooleanField(_("from scratch"), default=False)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OWED)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    begun = models.PositiveSmallIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    # By aim, the best so far and what it cannot be under: how far it is, for the page.
    progress = models.JSONField(default=dict)
    # Why it was not worked out, as a code.
    refusal = models.CharField(max_length=30, blank=True)
    # Placements, jobs left out with reasons, objectives with gaps; its shape is
    # workorders/plan_result.py.
    result = models.JSONField(null=True, blank=True)
    # What taking it changed, so that it can be put back.
    taken = models.JSONField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects: ClassVar = PlanRunQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant"], condition=Q(state="owed"), name="one_plan_worked_out_per_plant"
            ),
            models.CheckConstraint(
                condition=Q(until_at__gt=F("from_at")), name="plan_run_ends_after_it_begins"
            ),
        ]
        indexes = [
            models.Index(fields=["asked_at"], name="plan_run_owed", condition=Q(state="owed"))
        ]

    def __str__(self) -> str:
        return f"{self.from_at:%Y-%m-%d} to {self.until_at:%Y-%m-%d}: {self.state}"

    @property
    def last_at(self) -> datetime:
        """Within its last day; `until_at` is the midnight after it."""
        return self.until_at - timedelta(minutes=1)

    @property
    def is_owed(self) -> bool:
        return self.state == self.State.OWED

    @property
    def is_proposed(self) -> bool:
        return self.state == self.State.PROPOSED
