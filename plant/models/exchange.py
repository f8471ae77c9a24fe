"""Files for systems that cannot ask: what goes to which folder and when, and what went.

A file is written down with its first and last change before it is written, so that a worker that
dies leaves either no file or one that the next worker writes again with the same bytes.
"""

from typing import ClassVar

from django.contrib.postgres.fields import ArrayField
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.models.feed import Feed
from plant.models.versioned import Versioned
from plant.models.webhook import FEED_WORDS

MOST_MINUTES = 24 * 60
USUAL_MINUTES = 15


class ExchangeSetting(Versioned):
    """One system of one plant; its folder holds `out`, `in`, `done` and `refused`."""

    class Format(models.TextChoices):
        JSONL = "jsonl", _("JSON Lines, exactly as the feed tells it")
        CSV = "csv", _("CSV, a table with fixed columns")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="exchange_settings")
    # Whose words its files speak; without one they speak ours.
    system = models.ForeignKey(
        "plant.ConnectedSystem",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="exchange_settings",
        verbose_name=_("words of"),
    )
    name = models.CharField(_("name of the other system"), max_length=50)
    folder = models.CharField(_("folder"), max_length=40)
    feeds = ArrayField(
        models.CharField(max_length=16, choices=Feed.choices),
        verbose_name=_("what it is told of"),
        default=list,
        blank=True,
    )
    format = models.CharField(
        _("form of the files"), max_length=8, choices=Format.choices, default=Format.JSONL.value
    )
    every_minutes = models.PositiveSmallIntegerField(
        _("every so many minutes"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_MINUTES)],
    )
    # By the plant's clock.
    daily_at = models.TimeField(_("once a day at"), null=True, blank=True)
    is_on = models.BooleanField(_("on"), default=True)
    picks_up = models.BooleanField(_("pick up status files"), default=False)
    spares_own = models.BooleanField(_("leave out what it said itself"), default=True)
    writes_sign_of_life = models.BooleanField(_("sign of life"), default=False)
    next_at = models.DateTimeField(_("next"), null=True, blank=True)
    # When nothing new was found there is no run to show; this says that it was looked for.
    looked_at = models.DateTimeField(null=True, blank=True)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["plant__name", "name"]
        constraints = [
            models.UniqueConstraint("plant", "folder", name="one_exchange_per_folder_and_plant"),
            models.UniqueConstraint("plant", "name", name="one_exchange_per_name_and_plant"),
            models.CheckConstraint(
                condition=Q(folder__regex=r"^[a-z0-9][a-z0-9_-]{0,39}$"),
                name="exchange_folder_is_a_plain_name",
            ),
            models.CheckConstraint(
                condition=Q(every_minutes__isnull=True, daily_at__isnull=False)
                | Q(every_minutes__gte=1, every_minutes__lte=MOST_MINUTES, daily_at__isnull=True),
                name="exchange_has_one_schedule",
            ),
        ]
        indexes = [
            models.Index(fields=["next_at"], name="exchange_due", condition=Q(is_on=True)),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def acts_as(self) -> str:
        """How its changes are known again in the feeds."""
        return f"files-{self.pk}"

    def feed_words(self) -> list[str]:
        return [str(FEED_WORDS[Feed(feed)]) for feed in self.feeds]


class ExchangeCursor(models.Model):
    """How far one feed has been written for one system."""

    setting = models.ForeignKey(ExchangeSetting, models.CASCADE, related_name="cursors")
    feed = models.CharField(max_length=16, choices=Feed.choices)
    number = models.BigIntegerField(default=0)
    at = models.DateTimeField(null=True, blank=True)
    # The next run writes all that stands before it goes on with changes.
    owes_snapshot = models.BooleanField(default=False)
    # Changes after this place are no longer kept: somebody has to begin anew.
    lost_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("setting", "feed", name="one_cursor_per_exchange_and_feed")
        ]

    def __str__(self) -> str:
        return f"{self.feed} at {self.number}"


class ExchangeRunQuerySet(models.QuerySet["ExchangeRun"]):
    def owed(self) -> "ExchangeRunQuerySet":
        return self.filter(state=ExchangeRun.State.OWED)


class ExchangeRun(models.Model):
    class State(models.TextChoices):
        OWED = "owed", _("being written")
        DONE = "done", _("written")
        NOTHING_NEW = "nothing_new", _("nothing new")
        LOST = "lost", _("cannot go on")
        STOPPED = "stopped", _("stopped")
        FAILED = "failed", _("failed")

    setting = models.ForeignKey(ExchangeSetting, models.CASCADE, related_name="runs")
    state = models.CharField(max_length=12, choices=State.choices, default=State.OWED)
    asked_at = models.DateTimeField()
    # Empty: it was due.
    asked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    times_begun = models.PositiveSmallIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    # Why it failed, as a code with what the system said of it.
    refusal = models.CharField(max_length=30, blank=True)
    detail = models.CharField(max_length=300, blank=True)

    objects: ClassVar = ExchangeRunQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            # Asking twice asks once; it is also the index of what is owed.
            models.UniqueConstraint(
                fields=["setting"], condition=Q(state="owed"), name="one_owed_run_per_exchange"
            )
        ]

    def __str__(self) -> str:
        return f"{self.setting_id}: {self.state}"

    @property
    def is_owed(self) -> bool:
        return self.state == self.State.OWED


class ExchangeFile(models.Model):
    class Kind(models.TextChoices):
        CHANGES = "changes", _("changes")
        SNAPSHOT = "snapshot", _("all that stands")

    setting = models.ForeignKey(ExchangeSetting, models.CASCADE, related_name="files")
    run = models.ForeignKey(ExchangeRun, models.SET_NULL, null=True, related_name="files")
    feed = models.CharField(max_length=16, choices=Feed.choices)
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.CHANGES)
    name = models.CharField(max_length=120)
    # Written from the changes after `after_number` up to and with `last_number`.
    after_number = models.BigIntegerField(default=0)
    after_at = models.DateTimeField(null=True, blank=True)
    last_number = models.BigIntegerField()
    # Where the cursor goes with it; others' changes may lie between.
    until_number = models.BigIntegerField()
    until_at = models.DateTimeField(null=True, blank=True)
    rows = models.PositiveIntegerField()
    bytes = models.PositiveBigIntegerField(default=0)
    planned_at = models.DateTimeField()
    # Empty until it lies whole in its folder.
    written_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["setting", "feed"],
                condition=Q(written_at__isnull=True),
                name="one_file_at_a_time_per_exchange_and_feed",
            )
        ]
        indexes = [models.Index(fields=["setting", "-written_at"], name="exchange_file_newest")]

    def __str__(self) -> str:
        return self.name

    @property
    def format(self) -> str:
        """By its name: a setting may have changed since it was planned."""
        return self.name.rpartition(".")[2]
