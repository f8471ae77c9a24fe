"""Who did what to a key of an outside system."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class KeyLogEntry(models.Model):
    """Written with the deed; `old` and `new` hold the fields that were changed, by their names."""

    class What(models.TextChoices):
        MADE = "made", _("made")
        CHANGED = "changed", _("changed")
        REPLACED = "replaced", _("secret replaced")
        FORMER_ENDED = "former_ended", _("former secret ended")
        REVOKED = "revoked", _("revoked")

    key = models.ForeignKey("plant.ApiKey", models.CASCADE, related_name="log")
    what = models.CharField(max_length=12, choices=What.choices)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")
    # As it was then: people leave, and what they did stays theirs. Empty for a command.
    who = models.CharField(max_length=150, blank=True)
    old = models.JSONField(default=dict)
    new = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.key_id} {self.what}"
