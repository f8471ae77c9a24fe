"""Addresses of other systems to which changes are sent as they happen, and what is owed to each.

A target walks along the change feeds by itself (`read_through`); what it finds there for itself
becomes a delivery, which is tried until the other system takes it or a person has to look.
"""

import uuid
from datetime import datetime
from typing import ClassVar

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.models.feed import ChangeKind, Feed
from plant.webhooks import addresses
from plant.webhooks.answers import Fault


class WebhookTarget(models.Model):
    class Off(models.TextChoices):
        """Why nothing is sent. Empty: it is sent."""

        PAUSED = "paused", _("paused")
        GONE = "gone", _("the receiver said it is gone")
        BEHIND = "behind", _("fell behind what is kept")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="webhook_targets")
    name = models.CharField(_("name"), max_length=60)
    address = models.CharField(_("address"), max_length=addresses.LONGEST)
    feeds = ArrayField(models.CharField(max_length=16, choices=Feed.choices))
    kinds = ArrayField(models.CharField(max_length=8, choices=ChangeKind.choices))
    # Whose words are used; without one, ours.
    system = models.ForeignKey(
        "plant.ConnectedSystem",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="webhook_targets",
    )
    # What this key changed is no news to whoever holds it.
    spared_key = models.ForeignKey(
        "plant.ApiKey", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    off = models.CharField(max_length=6, choices=Off.choices, blank=True)
    off_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)
    # The place in the feeds up to which everything is owed or was none of its business.
    read_through = models.BigIntegerField(default=0)
    read_at = models.DateTimeField(null=True, blank=True)
    # Tries in a row that failed for a reason of the receiver's, and how long it is left alone.
    failures = models.PositiveIntegerField(default=0)
    rests_until = models.DateTimeField(null=True, blank=True)
    # When it last took something, to the minute.
    taken_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("name", "pk")
        constraints = [
            models.UniqueConstraint(fields=["plant", "name"], name="webhook_name_once_a_plant")
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def feed_words(self) -> list[str]:
        return [str(FEED_WORDS[Feed(feed)]) for feed in self.feeds]

    @property
    def kind_words(self) -> list[str]:
        return [str(KIND_WORDS[ChangeKind(kind)]) for kind in self.kinds]


class WebhookSecret(models.Model):
    """Kept so that it can sign, hence not as a digest but sealed; two of them while they change."""

    target = models.ForeignKey(WebhookTarget, models.CASCADE, related_name="secrets")
    sealed = models.TextField()
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-made_at", "-pk")

    def __str__(self) -> str:
        return f"secret of {self.target_id}"


class DeliveryQuerySet(models.QuerySet["WebhookDelivery"]):
    def unfinished(self) -> "DeliveryQuerySet":
        return self.filter(state__in=WebhookDelivery.UNFINISHED)

    def first_in_line(self) -> "DeliveryQuerySet":
        """Those before which nothing of the same row waits: changes of a row go in their order."""
        earlier = (
            WebhookDelivery.objects.unfinished()
            .filter(
                target=models.OuterRef("target"),
                of=models.OuterRef("of"),
                row_id=models.OuterRef("row_id"),
                number__lt=models.OuterRef("number"),
            )
            .values("pk")
        )
        return self.filter(~models.Exists(earlier))


class WebhookDelivery(models.Model):
    """One change owed to one target. The change itself stays in the feed."""

    class State(models.TextChoices):
        OWED = "owed", _("to be sent")
        SENT = "sent", _("taken")
        # Tried for a day, or of no use to try: somebody looks.
        PARKED = "parked", _("set aside")
        GIVEN_UP = "given_up", _("given up")

    UNFINISHED = (State.OWED, State.PARKED)

    target = models.ForeignKey(
        WebhookTarget, models.CASCADE, related_name="deliveries", db_index=False
    )
    number = models.BigIntegerField()
    numbered_at = models.DateTimeField()
    feed = models.CharField(max_length=16, choices=Feed.choices)
    of = models.CharField(max_length=16)
    row_id = models.BigIntegerField()
    key = models.CharField(max_length=48)
    kind = models.CharField(max_length=8, choices=ChangeKind.choices)
    # What the receiver knows it by; the same however often it is sent.
    message_id = models.UUIDField(default=uuid.uuid4, unique=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.OWED)
    tries = models.PositiveSmallIntegerField(default=0)
    next_at = models.DateTimeField()
    # Who is at it just now, and until when that is believed.
    claim = models.UUIDField(null=True, blank=True)
    claimed_until = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField()
    tried_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    status = models.PositiveSmallIntegerField(null=True, blank=True)
    fault = models.CharField(
        max_length=20, blank=True, choices=[(fault.value, fault.value) for fault in Fault if fault]
    )
    said = models.CharField(max_length=300, blank=True)

    objects: ClassVar[DeliveryQuerySet] = DeliveryQuerySet.as_manager()  # type: ignore[assignment]

    class Meta:
        ordering = ("-number",)
        constraints = [
            # Also the way the log is walked.
            models.UniqueConstraint(fields=["target", "number"], name="webhook_change_owed_once")
        ]
        indexes = [
            models.Index(
                fields=["target", "of", "row_id", "number"],
                condition=Q(state__in=("owed", "parked")),
                name="webhook_lines",
            ),
            models.Index(
                fields=["target", "next_at"], condition=Q(state="owed"), name="webhook_owed"
            ),
            models.Index(
                fields=["ended_at"], condition=Q(ended_at__isnull=False), name="webhook_ended"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} to {self.target_id}: {self.state}"

    @property
    def kind_words(self) -> str:
        return str(KIND_WORDS[ChangeKind(self.kind)])

    def is_under_way(self, now: datetime) -> bool:
        return self.claimed_until is not None and self.claimed_until > now


FEED_WORDS = {
    Feed.WORK_ORDERS: _("work orders"),
    Feed.COMPLAINTS: _("complaints"),
    Feed.CASES: _("cases"),
    Feed.REGISTER: _("register"),
}
KIND_WORDS = {
    ChangeKind.ADDED: _("added"),
    ChangeKind.CHANGED: _("changed"),
    ChangeKind.MERGED: _("merged into another"),
    ChangeKind.REMOVED: _("removed"),
}
