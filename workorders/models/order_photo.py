"""A photo kept with an order: how it was before, during and after the work."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned
from workorders.models.work_order import WorkOrder


class OrderPhotoQuerySet(models.QuerySet["OrderPhoto"]):
    def standing(self) -> "OrderPhotoQuerySet":
        return self.filter(taken_back_at__isnull=True)


class OrderPhoto(Versioned):
    """Its files stay when it is taken back, so that it can be put back."""

    class Moment(models.TextChoices):
        BEFORE = "before", _("before the work")
        DURING = "during", _("during the work")
        AFTER = "after", _("after the work")

    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="photos")
    moment = models.CharField(_("when"), max_length=6, choices=Moment.choices)
    caption = models.CharField(_("what it shows"), max_length=200, blank=True)
    # Neither has a public address: a page hands them out.
    file = models.FileField(_("file"))
    small_file = models.FileField(_("small file"))
    width = models.PositiveIntegerField(_("width"))
    height = models.PositiveIntegerField(_("height"))
    size = models.PositiveIntegerField(_("size"))
    # Of the bytes as they were sent: tells whether the same file comes again.
    sha256 = models.CharField(max_length=64)
    taken_at = models.DateTimeField(_("taken"))
    sent_at = models.DateTimeField(_("sent"))
    sent_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = OrderPhotoQuerySet.as_manager()

    class Meta:
        ordering = ["taken_at", "pk"]
        constraints = [
            # Whoever sends it twice at once keeps it once.
            models.UniqueConstraint(fields=["order", "sha256"], name="one_photo_per_file_of_order"),
            models.CheckConstraint(
                condition=Q(width__gt=0, height__gt=0, size__gt=0),
                name="order_photo_shows_something",
            ),
        ]

    def __str__(self) -> str:
        return self.caption or f"{self.get_moment_display()}, {self.order.number}"
