"""Recurring faults of a plant's belts, reckoned in the background and kept until the next time.

A reckoning answers one choice of family, exposure and period. Its belts are replaced whole, in one
transaction, so that a page never shows half of an old and half of a new one.
"""

from typing import ClassVar

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.metering.basis import Basis


class FaultReckoningQuerySet(models.QuerySet["FaultReckoning"]):
    def owed(self) -> "FaultReckoningQuerySet":
        return self.filter(owed_at__isnull=False)


class FaultReckoning(models.Model):
    """`span` names a period that moves with the day; empty for one between two fixed days."""

    class Span(models.TextChoices):
        QUARTER = "3 months", _("last 3 months")
        HALF = "6 months", _("last 6 months")
        YEAR = "12 months", _("last 12 months")
        USUAL = "18 months", _("last 18 months")
        LONG = "36 months", _("last 36 months")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="fault_reckonings")
    # A cause class; empty for all cases.
    family = models.CharField(max_length=32, blank=True)
    basis = models.CharField(
        _("exposure"),
        max_length=16,
        choices=[(basis.value, _(basis.value)) for basis in Basis],
        default=Basis.CALENDAR.value,
    )
    span = models.CharField(_("period"), max_length=12, choices=Span.choices, blank=True)
    # Days in the plant's zone, both included: those last reckoned, or the fixed ones.
    first_on = models.DateField()
    last_on = models.DateField()
    # What the pages show first; it is kept fresh though nobody looks.
    is_usual = models.BooleanField(default=False)
    # Work is owed from this instant on; None while what stands is as fresh as it should be.
    owed_at = models.DateTimeField(null=True, blank=True)
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    times_begun = models.PositiveSmallIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    # How far it is, as a share of 1, for the page.
    progress = models.FloatField(default=0.0)
    # Why the last attempt came to nothing, as a code.
    refusal = models.CharField(max_length=30, blank=True)
    reckoned_at = models.DateTimeField(_("reckoned"), null=True, blank=True)
    # Nobody looks any more: it is kept fresh no longer, and forgotten at last.
    looked_at = models.DateTimeField()
    # What concerns all belts together: counts, mean cumulative function, tests, prior, notes.
    result = models.JSONField(default=dict, blank=True)

    objects: ClassVar = FaultReckoningQuerySet.as_manager()

    class Meta:
        ordering = ["-reckoned_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                "plant",
                "family",
                "basis",
                "span",
                condition=~Q(span=""),
                name="one_reckoning_of_a_span",
            ),
            models.UniqueConstraint(
                "plant",
                "family",
                "basis",
                "first_on",
                "last_on",
                condition=Q(span=""),
                name="one_reckoning_of_days",
            ),
            models.UniqueConstraint(
                "plant", condition=Q(is_usual=True), name="one_usual_reckoning_per_plant"
            ),
            models.CheckConstraint(
                condition=Q(first_on__lte=models.F("last_on")), name="reckoning_days_in_order"
            ),
        ]
        indexes = [
            models.Index(
                fields=["owed_at"], name="reckoning_owed", condition=Q(owed_at__isnull=False)
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plant_id}: {self.span or self.first_on} {self.family} {self.basis}"


class BeltFaults(models.Model):
    """One belt's figures in a reckoning; a figure that the data cannot say is None.

    Rates are events in `rate_per` of the exposure's unit, see diagnostics/recurrence; `trend` is
    the sign of a trend that would not be chance among all belts: 1 worse, -1 better, 0 none.
    """

    reckoning = models.ForeignKey(FaultReckoning, models.CASCADE, related_name="belts")
    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="+")
    events = models.PositiveIntegerField(_("cases"))
    repeats = models.PositiveIntegerField(_("repeats"))
    lost_hours = models.FloatField(_("lost hours"))
    # Cases whose lost hours nobody has said.
    lost_hours_unsaid = models.PositiveIntegerField(default=0)
    exposure = models.FloatField(null=True, blank=True)
    # Days of the period in which the exposure is not known.
    unknown_days = models.FloatField(default=0.0)
    rate = models.FloatField(null=True, blank=True)
    shrunk = models.FloatField(null=True, blank=True)
    lower = models.FloatField(null=True, blank=True)
    upper = models.FloatField(null=True, blank=True)
    probability_worse = models.FloatField(null=True, blank=True)
    trend = models.SmallIntegerField(default=0)
    # Adjusted for looking at many belts.
    trend_p = models.FloatField(null=True, blank=True)
    # Power-law shape: above 1 the belt gets worse.
    trend_shape = models.FloatField(null=True, blank=True)
    # Cases in each stretch of the period, for the small chart in the row.
    course = ArrayField(models.PositiveIntegerField(), default=list)
    # Cause family that most of its cases have, and how many; empty while no cause is known.
    leading_family = models.CharField(max_length=32, blank=True)
    leading_events = models.PositiveIntegerField(default=0)
    # The rest of what the row shows: the mend that did not hold, the suggested step, zones.
    detail = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-lost_hours", "-events", "pk"]
        constraints = [
            models.UniqueConstraint("reckoning", "conveyor", name="one_row_per_belt_and_reckoning"),
        ]
        indexes = [
            models.Index(fields=["reckoning", "-lost_hours"], name="faults_by_lost_hours"),
            models.Index(fields=["reckoning", "-events"], name="faults_by_events"),
            models.Index(fields=["reckoning", "-probability_worse"], name="faults_by_worse"),
        ]

    def __str__(self) -> str:
        return f"{self.conveyor_id}: {self.events}"
