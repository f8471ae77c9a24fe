"""What the processes of the site have done, for whoever watches them: requests and sweeps."""

from django.contrib.postgres.fields import ArrayField
from django.db import models

# Upper ends of the classes of duration in which requests are counted. [s]
BOUNDS_S = (0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0)


class RequestCount(models.Model):
    """All processes together, since the table was last emptied; it is unlogged.

    `under` counts those that took no longer than each of BOUNDS_S.
    """

    route = models.CharField(max_length=200)
    method = models.CharField(max_length=8)
    status = models.PositiveSmallIntegerField()
    count = models.BigIntegerField()
    seconds = models.FloatField()
    under = ArrayField(models.BigIntegerField())

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["route", "method", "status"], name="one_count_of_requests"
            )
        ]

    def __str__(self) -> str:
        return f"{self.method} {self.route} {self.status}: {self.count}"


class SweepCount(models.Model):
    """How the runs of one sweep went, whichever worker ran it."""

    name = models.CharField(max_length=60, primary_key=True)
    ran_at = models.DateTimeField()
    succeeded_at = models.DateTimeField(null=True)
    seconds = models.FloatField()
    done = models.BigIntegerField(default=0)
    failures = models.BigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.name}: {self.done}"
