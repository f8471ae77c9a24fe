"""What changed, for outside systems that follow: as it comes in, numbered, and where the count is.

Triggers (plant/models/feed_triggers.py) write `FeedArrival` in the transaction of the change.
One at a time (plant/services/feed_numbering.py) what was committed moves on to `FeedChange` and
gets its number there; only numbered changes are read.
"""

from django.db import models

# An instant as the API writes it: UTC, microseconds only where there are some.
WIRE_TIME = (
    "replace(to_char({} AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS.US') || 'Z', "
    "'.000000Z', 'Z')"
)


class Feed(models.TextChoices):
    WORK_ORDERS = "work_orders"
    COMPLAINTS = "complaints"
    CASES = "cases"
    REGISTER = "register"


class ChangeKind(models.TextChoices):
    ADDED = "added"
    CHANGED = "changed"
    # Its work goes on in another row, which the record names.
    MERGED = "merged"
    REMOVED = "removed"


class _Change(models.Model):
    """No foreign key: what is told of a row outlives it, and writers shall wait for nobody."""

    feed = models.CharField(max_length=16, choices=Feed.choices)
    of = models.CharField(max_length=16)
    row_id = models.BigIntegerField()
    # What the outside calls the row; it never changes.
    key = models.CharField(max_length=48)
    plant = models.ForeignKey(
        "plant.Plant", models.DO_NOTHING, related_name="+", db_constraint=False, db_index=False
    )
    kind = models.CharField(max_length=8, choices=ChangeKind.choices)
    at = models.DateTimeField()
    who = models.CharField(max_length=150, blank=True)
    by_key = models.CharField(max_length=16, blank=True)
    # JSON as it goes over the wire, made when the change was: what the row looked like then.
    record = models.TextField()

    class Meta:
        abstract = True


class FeedArrival(_Change):
    """Committed or about to be; not yet numbered. The table is nearly empty nearly always."""

    # Changes of one row in one transaction become one: nobody ever saw what stood in between.
    transaction = models.BigIntegerField()

    def __str__(self) -> str:
        return f"{self.kind} {self.of} {self.key}"


class FeedChange(_Change):
    """Partitioned by week of `numbered_at`, which never runs backwards while numbers rise.

    To the database (plant, feed, number, numbered_at) is the key; numbers alone are unique.
    """

    number = models.BigIntegerField(primary_key=True)
    numbered_at = models.DateTimeField()

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.number}: {self.kind} {self.of} {self.key}"


class FeedPosition(models.Model):
    """One row: who holds its lock numbers changes, and nobody else does."""

    last_number = models.BigIntegerField(default=0)
    last_at = models.DateTimeField()
    # Changes up to this one are no longer kept.
    dropped_through = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_position_of_the_feeds")
        ]

    def __str__(self) -> str:
        return f"at {self.last_number}"
