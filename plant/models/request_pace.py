"""How much was asked in the last minute, by whom: one row for each."""

from django.contrib.postgres.fields import ArrayField
from django.db import models


class RequestPace(models.Model):
    """An unlogged table: what it holds is worth a minute, and writing it waits for no disk."""

    # `key <prefix>`, or `address <ip>` for keys that were none.
    asker = models.CharField(max_length=60, primary_key=True)
    # When the newest slice began; the others follow it, each as long (plant/services/pacing.py).
    began_at = models.DateTimeField()
    slices = ArrayField(models.IntegerField())
    # Whether the last request was one too many.
    is_over = models.BooleanField()

    def __str__(self) -> str:
        return f"{self.asker}: {sum(self.slices)}"
