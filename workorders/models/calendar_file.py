"""A calendar that was sent for a plant's outage windows, and what became of it."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class CalendarFile(models.Model):
    """Nothing of it counts until somebody takes it in, whole; it is compared anew until then."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="calendar_files")
    # Windows remember it: what a later file of the same calendar leaves out is called off.
    calendar_name = models.CharField(_("calendar"), max_length=120)
    file_name = models.CharField(_("file"), max_length=200)
    text = models.TextField()
    # For events that name no conveyor of the plant.
    conveyors = models.ManyToManyField("plant.Conveyor", related_name="+", blank=True)
    sent_at = models.DateTimeField(_("sent"))
    sent_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_at = models.DateTimeField(_("taken in"), null=True, blank=True)
    taken_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # How many windows came new, moved, went, stayed; filled when it is taken in.
    counts = models.JSONField(default=dict)

    class Meta:
        ordering = ["-sent_at", "-pk"]
        indexes = [models.Index(fields=["plant", "-sent_at"], name="calendar_by_plant")]

    def __str__(self) -> str:
        return self.file_name
