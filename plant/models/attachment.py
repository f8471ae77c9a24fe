"""A picture or a drawing kept with a conveyor or one of its components."""

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.file_names import LONGEST
from plant.models.versioned import Versioned


class AttachmentQuerySet(models.QuerySet["Attachment"]):
    def standing(self) -> "AttachmentQuerySet":
        return self.filter(taken_back_at__isnull=True)


class Attachment(Versioned):
    """Its files stay when it is taken back, so that it can be put back."""

    class Kind(models.TextChoices):
        PICTURE = "picture", _("picture")
        DOCUMENT = "document", _("drawing")

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="attachments")
    component = models.ForeignKey(
        "plant.Component", models.SET_NULL, null=True, blank=True, related_name="attachments"
    )
    # Kept when the component goes.
    component_name = models.CharField(_("component"), max_length=40, blank=True)
    kind = models.CharField(_("kind"), max_length=8, choices=Kind.choices)
    caption = models.CharField(_("what it shows"), max_length=200, blank=True)
    file_name = models.CharField(_("file name"), max_length=LONGEST, blank=True)
    # None has a public address: a page hands them out.
    file = models.FileField(_("file"))
    small_file = models.FileField(_("small file"), blank=True)
    width = models.PositiveIntegerField(_("width"), null=True, blank=True)
    height = models.PositiveIntegerField(_("height"), null=True, blank=True)
    size = models.PositiveIntegerField(_("size"))
    # Of the bytes as they were sent: tells whether the same file comes again.
    sha256 = models.CharField(max_length=64)
    taken_at = models.DateTimeField(_("picture taken"), null=True, blank=True)
    sent_at = models.DateTimeField(_("sent"))
    sent_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = AttachmentQuerySet.as_manager()

    class Meta:
        ordering = ["-sent_at", "-pk"]
        indexes = [models.Index(fields=["conveyor", "sha256"], name="attachment_same_file")]
        constraints = [
            models.CheckConstraint(condition=Q(size__gt=0), name="attachment_holds_something"),
            models.CheckConstraint(
                condition=Q(kind="document", width__isnull=True, height__isnull=True, small_file="")
                | Q(kind="picture", width__gt=0, height__gt=0) & ~Q(small_file=""),
                name="attachment_picture_has_measures",
            ),
        ]

    def __str__(self) -> str:
        return self.caption or self.file_name or f"{self.get_kind_display()} {self.pk}"

    @property
    def is_picture(self) -> bool:
        return self.kind == self.Kind.PICTURE

    @property
    def dated_at(self) -> datetime:
        """When it was taken where that is known, else when it came."""
        return self.taken_at or self.sent_at
