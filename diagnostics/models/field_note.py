"""A note from the field on a cause, a conveyor or a component, for whoever comes next."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned

LONGEST = 1000


class FieldNoteQuerySet(models.QuerySet["FieldNote"]):
    def standing(self) -> "FieldNoteQuerySet":
        """Those that hold: neither taken back nor said to be no longer so."""
        return self.filter(taken_back_at__isnull=True, no_longer_at__isnull=True)


class FieldNote(Versioned):
    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="field_notes")
    # Slug of the catalogue; empty for a note on a place alone.
    cause = models.CharField(_("cause"), max_length=64, blank=True)
    conveyor = models.ForeignKey(
        "plant.Conveyor", models.CASCADE, null=True, blank=True, related_name="field_notes"
    )
    component = models.ForeignKey(
        "plant.Component", models.SET_NULL, null=True, blank=True, related_name="field_notes"
    )
    # Station or component as it was called then; kept when the component goes.
    place = models.CharField(_("where"), max_length=48, blank=True)
    # Of one set of a group, or away from any station; else the component says where.
    position_m = models.FloatField(_("loop position"), null=True, blank=True)
    text = models.TextField(_("note"), max_length=LONGEST)
    written_at = models.DateTimeField(_("written"))
    written_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Made by the form, so that sending it twice keeps one note.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    no_longer_at = models.DateTimeField(_("no longer so"), null=True, blank=True)
    no_longer_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    no_longer_why = models.CharField(_("why it is no longer so"), max_length=200, blank=True)
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = FieldNoteQuerySet.as_manager()

    class Meta:
        ordering = ["-written_at", "-pk"]
        indexes = [
            models.Index(fields=["plant", "cause"], name="field_note_of_cause"),
            models.Index(fields=["plant", "-written_at"], name="field_note_newest"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(cause="") | Q(conveyor__isnull=False),
                name="field_note_is_about_something",
            ),
            models.CheckConstraint(condition=~Q(text=""), name="field_note_says_something"),
            models.CheckConstraint(
                condition=Q(no_longer_at__isnull=True) | ~Q(no_longer_why=""),
                name="field_note_no_longer_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.text[:60]

    @property
    def stands(self) -> bool:
        return self.taken_back_at is None and self.no_longer_at is None


class EarlierText(models.Model):
    """What a note said before it was changed."""

    note = models.ForeignKey(FieldNote, models.CASCADE, related_name="earlier_texts")
    text = models.TextField(_("note"))
    # When it gave way, and to whom.
    until = models.DateTimeField()
    changed_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-until", "-pk"]

    def __str__(self) -> str:
        return self.text[:60]


class NotePhoto(models.Model):
    note = models.ForeignKey(FieldNote, models.CASCADE, related_name="photos")
    # Neither has a public address: a page hands them out.
    file = models.FileField(_("file"))
    small_file = models.FileField(_("small file"))
    width = models.PositiveIntegerField(_("width"))
    height = models.PositiveIntegerField(_("height"))
    size = models.PositiveIntegerField(_("size"))

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width__gt=0, height__gt=0, size__gt=0),
                name="note_photo_shows_something",
            ),
        ]

    def __str__(self) -> str:
        return f"photo {self.pk}"
