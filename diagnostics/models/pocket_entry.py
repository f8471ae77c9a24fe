"""What a phone sent in: one row an entry, so that the same entry sent twice is taken once."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class PocketEntry(models.Model):
    """Written in the transaction of what the entry did; a refused entry leaves none."""

    class Outcome(models.TextChoices):
        KEPT = "kept", _("kept")
        # A look that plainly differs from somebody else's, of which its maker did not know.
        CONTESTED = "contested", _("contested")

    # Made by the phone.
    id = models.UUIDField(primary_key=True, editable=False)
    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="pocket_entries")
    kind = models.CharField(max_length=12)
    outcome = models.CharField(max_length=10, choices=Outcome.choices, default=Outcome.KEPT)
    made_at = models.DateTimeField(_("made"))
    received_at = models.DateTimeField(_("received"))
    sent_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["received_at", "pk"]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"
