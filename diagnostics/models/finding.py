"""What a close inspection of a component showed, yes or no."""

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from plant.models.acting_key import acting_key_name
from plant.models.versioned import Versioned


class Finding(Versioned):
    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="findings")
    # Made by whoever records it, so that sending twice stores once.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    component = models.ForeignKey(
        "plant.Component", models.SET_NULL, null=True, blank=True, related_name="findings"
    )
    # Name of the station within the component, kept when the component goes.
    place = models.CharField(_("place"), max_length=48, blank=True)
    cause = models.CharField(_("looked for"), max_length=60)
    is_present = models.BooleanField(_("found"))
    note = models.CharField(_("note"), max_length=400, blank=True)
    found_at = models.DateTimeField(_("looked at"))
    found_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Name of the system that sent it, where no person stands behind it.
    by_key = models.CharField(max_length=60, blank=True, editable=False, default=acting_key_name)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["found_at", "pk"]

    def __str__(self) -> str:
        return f"{self.cause}: {'yes' if self.is_present else 'no'}"

    @property
    def who(self) -> str:
        """The person or system that looked; empty when nobody said."""
        return str(self.found_by) if self.found_by else self.by_key
