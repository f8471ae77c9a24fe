"""A bundle of knowledge that was sent to a plant, read and checked, and what became of it."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class KnowledgeBundle(models.Model):
    """Nothing of it counts until somebody takes it into a draft, and the draft is published."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="knowledge_bundles")
    sent_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    sent_at = models.DateTimeField(_("sent"))
    file_name = models.CharField(_("file"), max_length=200)
    # As the bundle says of itself.
    written_on = models.CharField(_("written on"), max_length=10, blank=True)
    from_plant = models.CharField(_("from"), max_length=200, blank=True)
    from_edition = models.CharField(_("edition"), max_length=200, blank=True)
    # Its entries by the key of their kind.
    contents = models.JSONField()
    taken_into = models.ForeignKey(
        "diagnostics.KnowledgeEdition",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="bundles",
    )
    taken_at = models.DateTimeField(_("taken in"), null=True, blank=True)
    taken_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-sent_at", "-pk"]
        indexes = [models.Index(fields=["plant", "-sent_at"], name="bundle_by_plant")]

    def __str__(self) -> str:
        return self.file_name
