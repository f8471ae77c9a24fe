"""A file that was sent in for the register, what it would change, and what became of it."""

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _


class RegisterImportQuerySet(models.QuerySet["RegisterImport"]):
    def owed(self) -> "RegisterImportQuerySet":
        return self.filter(state__in=OWED_STATES)


class RegisterImport(models.Model):
    """The file waits here until it was read, and its rows until somebody says apply."""

    class State(models.TextChoices):
        TO_READ = "to read", _("waiting to be read")
        READ = "read", _("read, nothing changed yet")
        TO_APPLY = "to apply", _("waiting to be taken in")
        APPLIED = "applied", _("taken in")
        REFUSED = "refused", _("not taken in")
        STOPPED = "stopped", _("stopped")
        LEFT = "left", _("left, nothing was changed")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="register_imports")
    made_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, related_name="register_imports"
    )
    made_at = models.DateTimeField(_("sent"))
    file = models.FileField(upload_to="register/%Y/%m/", blank=True)
    file_name = models.CharField(_("file"), max_length=200)
    file_hash = models.CharField(max_length=64)
    file_bytes = models.PositiveIntegerField()
    # The sheet a CSV file is; empty: found out from its columns.
    sheet = models.CharField(max_length=20, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.TO_READ)
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    rows_done = models.PositiveIntegerField(default=0)
    rows_all = models.PositiveIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    # {sheet: {verdict: count}}; what the file says beside its rows; why it was refused as a whole.
    counts = models.JSONField(default=dict)
    remarks = models.JSONField(default=list)
    refusal = models.JSONField(null=True, blank=True)
    # Of the conveyors the file speaks of, as the rows were compared with them.
    register_hash = models.CharField(max_length=64, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)
    applied_at = models.DateTimeField(null=True, blank=True)
    applied_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")

    objects: ClassVar = RegisterImportQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [
            models.Index(
                fields=["made_at"],
                name="register_import_owed",
                condition=models.Q(state__in=["to read", "to apply"]),
            )
        ]

    def __str__(self) -> str:
        return self.file_name


OWED_STATES = (RegisterImport.State.TO_READ, RegisterImport.State.TO_APPLY)


class PlannedRow(models.Model):
    """What one row of the file would do."""

    class Verdict(models.TextChoices):
        NEW = "new", _("new")
        CHANGED = "changed", _("changed")
        UNCHANGED = "unchanged", _("unchanged")
        REFUSED = "refused", _("refused")

    register_import = models.ForeignKey(RegisterImport, models.CASCADE, related_name="rows")
    place = models.PositiveIntegerField()
    sheet = models.CharField(max_length=20)
    row_number = models.PositiveIntegerField()
    verdict = models.CharField(max_length=10, choices=Verdict.choices)
    tag = models.CharField(max_length=200, blank=True)
    name = models.CharField(max_length=200, blank=True)
    row_pk = models.BigIntegerField(null=True, blank=True)
    # What is to be written, [[field, old, new]] for the eye, and why a row is refused.
    values = models.JSONField(default=dict)
    changes = models.JSONField(default=list)
    reasons = models.JSONField(default=list)

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint("register_import", "place", name="one_planned_row_per_place")
        ]
        indexes = [
            models.Index(
                fields=["register_import", "verdict", "sheet", "place"], name="planned_by_verdict"
            )
        ]

    def __str__(self) -> str:
        return f"{self.sheet} row {self.row_number}: {self.verdict}"
