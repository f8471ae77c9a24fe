"""How much was asked lately, by whom: one row for each, counted anew each minute."""

from django.db import models


class RequestPace(models.Model):
    """An unlogged table: what it holds is worth a minute, and writing it waits for no disk."""

    # `key <prefix>`, or `address <ip>` for keys that were none.
    asker = models.CharField(max_length=60, primary_key=True)
    began_at = models.DateTimeField()
    used = models.PositiveIntegerField()

    def __str__(self) -> str:
        return f"{self.asker}: {self.used}"
