"""What somebody reported, in their words."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import Zone


class Complaint(models.Model):
    class HowBad(models.TextChoices):
        OFF_CENTRE = "off_centre", _("runs off centre")
        SPILLING = "spilling", _("spills material")
        RUBBING = "rubbing", _("rubs the frame")
        STOPPED = "stopped", _("stopped because of it")

    class PeopleNear(models.TextChoices):
        """Who could be hurt, as a caller can say it; the worst last."""

        NOBODY = "nobody", _("nobody comes near")
        PASS = "pass", _("people walk or work beside or below it")
        FALL = "fall", _("material or parts fall where people are")

    plant = models.ForeignKey("plant.Plant", models.PROTECT, related_name="complaints")
    # Empty while nobody is sure which belt it is.
    conveyor = models.ForeignKey(
        "plant.Conveyor", models.PROTECT, null=True, blank=True, related_name="complaints"
    )
    case = models.ForeignKey(
        "diagnostics.Case", models.PROTECT, null=True, blank=True, related_name="complaints"
    )
    words = models.TextField(_("caller's words"), max_length=2000)
    roughly_where = models.CharField(
        _("roughly where"),
        max_length=32,
        blank=True,
        choices=[(zone.value, _(zone.value)) for zone in Zone],
    )
    how_bad = models.CharField(
        _("how bad"), max_length=16, choices=HowBad.choices, default=HowBad.OFF_CENTRE
    )
    people_near = models.CharField(
        _("people near it"), max_length=8, blank=True, choices=PeopleNear.choices
    )
    caller_name = models.CharField(_("caller"), max_length=120, blank=True)
    caller_contact = models.CharField(_("way to call back"), max_length=120, blank=True)
    shift = models.CharField(_("shift"), max_length=40, blank=True)
    received_at = models.DateTimeField(_("received"))
    received_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    external_number = models.CharField(_("number in the other system"), max_length=80, blank=True)
    withdrawn_at = models.DateTimeField(_("withdrawn"), null=True, blank=True)
    withdrawn_why = models.CharField(_("why withdrawn"), max_length=400, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-received_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(case__isnull=True) | Q(conveyor__isnull=False),
                name="complaint_in_a_case_names_its_conveyor",
            ),
        ]
        indexes = [
            models.Index(fields=["plant", "-received_at"], name="complaint_by_plant"),
            models.Index(fields=["changed_at"], name="complaint_by_change"),
        ]

    def __str__(self) -> str:
        return self.words[:80]
