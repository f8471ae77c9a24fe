"""What one shift tells the next, and what people have been reminded of by mail."""

from datetime import time

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workorders.attention_words import ATTENTION_WORDS
from workorders.models.work_order import WorkOrder

KINDS = [(kind.value, words) for kind, words in ATTENTION_WORDS.items()]


class HandOverNote(models.Model):
    """Stays as it was written; a mistake is taken back and written anew."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="hand_over_notes")
    words = models.TextField(_("for the next shift"), max_length=4000)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_over_at = models.DateTimeField(null=True, blank=True)
    taken_over_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-written_at", "-pk"]
        indexes = [models.Index(fields=["plant", "-written_at"], name="hand_over_by_plant")]
        constraints = [
            models.CheckConstraint(condition=~Q(words=""), name="hand_over_says_something")
        ]

    def __str__(self) -> str:
        return self.words[:60]


class ReminderWish(models.Model):
    """What a person wants to be reminded of at one plant, when, and how far the sending is."""

    user = models.ForeignKey("plant.User", models.CASCADE, related_name="reminder_wishes")
    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="+")
    kinds = ArrayField(models.CharField(max_length=12, choices=KINDS), default=list, blank=True)
    # The plant's own time.
    at = models.TimeField(_("at"), default=time(6))
    last_day = models.DateField(null=True, blank=True, editable=False)
    tries = models.PositiveSmallIntegerField(default=0, editable=False)
    try_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["plant__name", "user__username"]
        constraints = [
            models.UniqueConstraint(fields=["user", "plant"], name="one_reminder_wish_per_plant")
        ]

    def __str__(self) -> str:
        return f"{self.user_id} at {self.plant_id}: {', '.join(self.kinds) or 'nothing'}"


class Reminder(models.Model):
    """One person was told of one fact once; `fact` changes when it becomes true anew."""

    user = models.ForeignKey("plant.User", models.CASCADE, related_name="+")
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="reminders")
    kind = models.CharField(max_length=12, choices=KINDS)
    fact = models.CharField(max_length=40)
    told_at = models.DateTimeField()

    class Meta:
        ordering = ["-told_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["user", "order", "kind", "fact"], name="one_reminder_of_a_fact"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.fact}"
