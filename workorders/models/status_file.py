"""Status files of other systems as they were picked up, row by row.

A row has an identity: its `id` column, else the file's digest and the row's number. What was taken
once under it is not taken again, however often the file comes.
"""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class PickUp(models.Model):
    """Whoever looks into the folder of a setting holds this row; one at a time."""

    setting = models.OneToOneField("plant.ExchangeSetting", models.CASCADE, related_name="pick_up")
    looked_at = models.DateTimeField(null=True, blank=True)
    worked_at = models.DateTimeField(null=True, blank=True)
    times_begun = models.PositiveIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    # {name: [bytes, changed, first seen so]}: a file that grows is left alone.
    seen = models.JSONField(default=dict)
    # What kept the last look from the folder.
    trouble = models.CharField(max_length=300, blank=True)

    def __str__(self) -> str:
        return f"pick-up of {self.setting_id}"


class StatusFile(models.Model):
    class State(models.TextChoices):
        TAKING = "taking", _("being taken")
        DONE = "done", _("taken")
        REFUSED = "refused", _("not taken")
        STOPPED = "stopped", _("stopped")

    setting = models.ForeignKey(
        "plant.ExchangeSetting", models.CASCADE, related_name="status_files"
    )
    name = models.CharField(_("file"), max_length=255)
    digest = models.CharField(max_length=64)
    bytes = models.PositiveBigIntegerField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.TAKING)
    times_begun = models.PositiveSmallIntegerField(default=0)
    rows_all = models.PositiveIntegerField(default=0)
    # Why none of it, or not all of it, was taken.
    refusal = models.CharField(max_length=30, blank=True)
    values = models.JSONField(default=dict)
    found_at = models.DateTimeField(_("found"))
    ended_at = models.DateTimeField(null=True, blank=True)
    # Written before the file is moved there: how it ends, and under which name.
    ends_as = models.CharField(max_length=8, choices=State.choices, blank=True)
    kept_as = models.CharField(max_length=255, blank=True)

    class Meta:
        ordering = ["-found_at", "-pk"]
        indexes = [models.Index(fields=["setting", "-found_at"], name="status_file_newest")]
        constraints = [
            models.UniqueConstraint(
                fields=["setting", "name"],
                condition=Q(state="taking"),
                name="one_file_of_a_name_being_taken",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_taking(self) -> bool:
        return self.state == self.State.TAKING


class StatusRowQuerySet(models.QuerySet["StatusRow"]):
    def taken(self) -> "StatusRowQuerySet":
        return self.filter(outcome=StatusRow.Outcome.TAKEN)


class StatusRow(models.Model):
    class Outcome(models.TextChoices):
        TAKEN = "taken", _("taken")
        ALREADY = "already", _("already taken")
        REFUSED = "refused", _("refused")

    file = models.ForeignKey(StatusFile, models.CASCADE, related_name="rows")
    # Of the file, once more: the identity is one within what a system sends.
    setting = models.ForeignKey("plant.ExchangeSetting", models.CASCADE, related_name="+")
    row_number = models.PositiveIntegerField()
    identity = models.CharField(max_length=130)
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    order = models.ForeignKey(
        "workorders.WorkOrder", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # What the row called it.
    order_named = models.CharField(max_length=80, blank=True)
    code = models.CharField(max_length=60, blank=True)
    why = models.CharField(max_length=600, blank=True)

    objects: ClassVar = StatusRowQuerySet.as_manager()

    class Meta:
        ordering = ["row_number"]
        constraints = [
            models.UniqueConstraint(fields=["file", "row_number"], name="one_answer_per_row"),
            models.UniqueConstraint(
                fields=["setting", "identity"],
                condition=Q(outcome="taken"),
                name="one_taken_row_per_identity",
            ),
        ]

    def __str__(self) -> str:
        return f"row {self.row_number}: {self.outcome}"
