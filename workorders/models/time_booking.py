"""Time that people put into an order: who, which day, how long, on what."""

import uuid
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from plant.models.acting_key import acting_key_name
from plant.models.versioned import Versioned
from workorders.models.work_order import WorkOrder

MOST_HOURS = 24


class TimeBookingQuerySet(models.QuerySet["TimeBooking"]):
    def standing(self) -> "TimeBookingQuerySet":
        return self.filter(taken_back_at__isnull=True)


class TimeBooking(Versioned):
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="time_bookings")
    # Empty for somebody without an account; the name stays when an account goes.
    worker = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    worker_name = models.CharField(_("who"), max_length=150)
    crew = models.ForeignKey(
        "workorders.Crew", models.PROTECT, null=True, blank=True, related_name="time_bookings"
    )
    day = models.DateField(_("day"))
    hours = models.DecimalField(
        _("hours"),
        max_digits=4,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(MOST_HOURS)],
    )
    # Of who said from when to when; the end may lie on the next day.
    begins_at = models.DateTimeField(_("from"), null=True, blank=True)
    ends_at = models.DateTimeField(_("to"), null=True, blank=True)
    step = models.ForeignKey(
        "workorders.WorkStep", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # As it was called then; kept when the step goes to another order.
    step_words = models.CharField(_("step"), max_length=200, blank=True)
    note = models.CharField(_("note"), max_length=400, blank=True)
    # Made by the form, so that sending it twice books once.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    booked_at = models.DateTimeField()
    booked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    booked_by_key = models.CharField(
        max_length=60, blank=True, default=acting_key_name, editable=False
    )
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = TimeBookingQuerySet.as_manager()

    class Meta:
        ordering = ["day", "begins_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(hours__gt=0, hours__lte=MOST_HOURS), name="booking_is_part_of_a_day"
            ),
            models.CheckConstraint(condition=~Q(worker_name=""), name="booking_says_who"),
            models.CheckConstraint(
                condition=Q(begins_at__isnull=True, ends_at__isnull=True)
                | Q(ends_at__gt=F("begins_at")),
                name="booking_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.worker_name}, {self.day.isoformat()}: {self.hours.normalize():f} h"

    @property
    def booked_by_another(self) -> str:
        """Who booked it for somebody else; empty for whoever booked their own."""
        if self.booked_by is None:
            return self.booked_by_key
        return "" if self.booked_by_id == self.worker_id else str(self.booked_by)
