"""What is to be renewed and when, reckoned for each conveyor; and the orders raised for it."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workorders.life_subjects import RENEWED_WORDS, Renewed
from workorders.models.work_order import WorkOrder


class DueState(models.Model):
    """How far the list of a conveyor is.

    Owed while it was asked for more often than answered, or the conveyor has changed since.
    """

    conveyor = models.OneToOneField("plant.Conveyor", models.CASCADE, related_name="due_state")
    reckoned_at = models.DateTimeField(null=True, blank=True)
    # Counted up by whoever changes what is no part of the register: limits, costs.
    asked = models.PositiveIntegerField(default=0)
    # Both as they stood before anything else was read.
    answered = models.PositiveIntegerField(default=0)
    seen_changed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.conveyor_id}: {self.reckoned_at}"


class DueItem(models.Model):
    """Renewed by whoever reckons; `key` says what it is about and stays while that lasts."""

    class Reason(models.TextChoices):
        LIMIT_MET = "limit_met", _("limit met")
        WEAR = "wear", _("wear line")
        AGE = "age", _("economic age")

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="due_items")
    component = models.ForeignKey(
        "plant.Component", models.CASCADE, null=True, blank=True, related_name="+"
    )
    key = models.CharField(max_length=80)
    what = models.CharField(
        max_length=12, choices=[(one.value, RENEWED_WORDS[one]) for one in Renewed]
    )
    reason = models.CharField(max_length=10, choices=Reason.choices)
    where = models.CharField(max_length=120)
    # The station or place an order names.
    station = models.CharField(max_length=48, blank=True)
    position_m = models.FloatField(null=True, blank=True)
    sets = ArrayField(models.CharField(max_length=60), default=list)
    count = models.PositiveIntegerField()
    due_on = models.DateField()
    # None: nothing is known of the error, or the end is not in sight.
    due_from = models.DateField(null=True, blank=True)
    due_until = models.DateField(null=True, blank=True)
    work_method = models.CharField(max_length=60, blank=True)
    # Figures of the sentence that says why; see workorders/due_words.py.
    why = models.JSONField(default=dict)
    reading = models.ForeignKey(
        "plant.ConditionReading", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["due_on", "conveyor", "key"]
        constraints = [
            models.UniqueConstraint(fields=["conveyor", "key"], name="one_due_item_of_a_thing"),
        ]
        indexes = [models.Index(fields=["due_on", "conveyor"], name="due_by_day")]

    def __str__(self) -> str:
        return f"{self.key} {self.due_on}"


class DueOrder(models.Model):
    """A thing of the due list and the order raised for it; at most one stands for a thing."""

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="due_orders")
    key = models.CharField(max_length=80)
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="due_orders")
    # What was raised by one press carries one mark, so that it can be taken back at once.
    together = models.UUIDField()
    # False once its order was open no more and another one was wanted.
    is_standing = models.BooleanField(default=True)
    raised_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["conveyor", "key"],
                condition=Q(is_standing=True),
                name="one_standing_order_of_a_due_thing",
            ),
        ]
        indexes = [models.Index(fields=["together"], name="due_orders_together")]

    def __str__(self) -> str:
        return f"{self.key}: {self.order_id}"
