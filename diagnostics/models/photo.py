"""A photo of what was looked at: with a close look, a look of a walk-down, or the case alone."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class PhotoQuerySet(models.QuerySet["Photo"]):
    def standing(self) -> "PhotoQuerySet":
        return self.filter(taken_back_at__isnull=True)


class Photo(models.Model):
    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="photos")
    finding = models.ForeignKey(
        "diagnostics.Finding", models.SET_NULL, null=True, blank=True, related_name="photos"
    )
    sighting = models.ForeignKey(
        "diagnostics.Sighting", models.SET_NULL, null=True, blank=True, related_name="photos"
    )
    # Made by whoever sends it, so that sending twice stores once.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    # Name of the station or component, kept when it goes.
    place = models.CharField(_("place"), max_length=48, blank=True)
    caption = models.CharField(_("what it shows"), max_length=200, blank=True)
    # Neither has a public address: a page hands them out. No ImageField, which would decode the
    # file whenever a row is made.
    file = models.FileField(_("file"))
    small_file = models.FileField(_("small file"))
    width = models.PositiveIntegerField(_("width"))
    height = models.PositiveIntegerField(_("height"))
    size = models.PositiveIntegerField(_("size"))
    taken_at = models.DateTimeField(_("taken"))
    sent_at = models.DateTimeField(_("sent"))
    taken_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)

    objects = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["taken_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width__gt=0, height__gt=0, size__gt=0), name="photo_shows_something"
            ),
            models.CheckConstraint(
                condition=~Q(file="") & ~Q(small_file=""), name="photo_has_its_files"
            ),
        ]

    def __str__(self) -> str:
        return self.caption or self.place or f"photo {self.pk}"
