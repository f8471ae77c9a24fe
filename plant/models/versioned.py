"""Rows that two people may have open at once."""

from django.db import models


class Versioned(models.Model):
    """Counts its changes, so that a form opened before the last of them is known as stale."""

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True
