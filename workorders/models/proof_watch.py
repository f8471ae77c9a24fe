"""What is seen while the belt is watched after the work, kept as it is seen."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from plant.loop.vocabulary import Run, Side
from workorders.models.proof_run import ProofRun
from workorders.models.work_order import WorkOrder


class ProofWatch(models.Model):
    """Goes on, perhaps over days, until a verdict makes it a proof run."""

    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="proof_watches")
    proof_run = models.OneToOneField(
        ProofRun, models.CASCADE, null=True, blank=True, related_name="watch"
    )
    revolutions_empty = models.PositiveIntegerField(default=0)
    revolutions_loaded = models.PositiveIntegerField(default=0)
    note = models.TextField(max_length=2000, blank=True)
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # A verdict that is not what the looks say, with the reason in the proof run's note.
    is_against_looks = models.BooleanField(default=False)

    class Meta:
        ordering = ["begun_at", "pk"]
        verbose_name_plural = "proof watches"
        constraints = [
            models.UniqueConstraint(
                "order", condition=Q(proof_run__isnull=True), name="one_proof_watch_at_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"watch of {self.order_id}"


class ProofLook(models.Model):
    """At one station in one load state; a later look takes the place of the earlier one."""

    watch = models.ForeignKey(ProofWatch, models.CASCADE, related_name="looks")
    station = models.CharField(_("station"), max_length=48)
    run = models.CharField(_("run"), max_length=8, choices=[(run.value, run.value) for run in Run])
    position_m = models.FloatField(_("loop position"))
    load = models.CharField(
        _("belt"), max_length=8, choices=[(state.value, _(state.value)) for state in LoadState]
    )
    offset_mm = models.FloatField(_("offset"), null=True, blank=True)
    degree = models.CharField(
        _("degree"),
        max_length=10,
        blank=True,
        choices=[(degree.value, _(degree.value)) for degree in Degree],
    )
    side = models.CharField(
        _("side"), max_length=5, blank=True, choices=[(side.value, _(side.value)) for side in Side]
    )
    persistence = models.CharField(
        _("persistence"),
        max_length=16,
        blank=True,
        choices=[(one.value, _(one.value)) for one in Persistence],
    )
    seen_at = models.DateTimeField()
    seen_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    # As every look is drawn and told: proof runs are watched running forward, and seen.
    is_running_backwards = False
    not_seen_reason = ""

    class Meta:
        ordering = ["position_m", "load"]
        constraints = [
            models.UniqueConstraint(
                fields=["watch", "station", "load"], name="one_proof_look_per_station_and_load"
            ),
            models.CheckConstraint(
                name="proof_look_says_something",
                condition=Q(offset_mm__isnull=False)
                | Q(degree=Degree.CENTRED.value)
                | (Q(degree__gt="") & Q(side__gt="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station} {self.degree or self.offset_mm}"
