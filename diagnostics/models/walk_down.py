"""One pass along the belt line, and what was seen at each station."""

import uuid

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.feature_words import Remark
from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from plant.loop.vocabulary import Run, Side


class WalkDown(models.Model):
    class Facing(models.TextChoices):
        HEAD = "head", _("toward the head")
        TAIL = "tail", _("toward the tail")

    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="walk_downs")
    # Made by the phone that begins it without signal, so that its looks know their walk-down.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    walked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    started_at = models.DateTimeField(_("started"))
    finished_at = models.DateTimeField(_("finished"), null=True, blank=True)
    # The page opens nothing before the cautions were acknowledged.
    cautions_read_at = models.DateTimeField()
    facing = models.CharField(
        _("facing"), max_length=4, choices=Facing.choices, default=Facing.HEAD
    )
    load = models.CharField(
        _("belt"),
        max_length=8,
        choices=[(state.value, _(state.value)) for state in LoadState],
        default=LoadState.LOADED.value,
    )
    is_running_backwards = models.BooleanField(_("running backwards"), default=False)
    stopped_reason = models.CharField(
        _("belt stopped because"),
        max_length=200,
        blank=True,
        help_text=_("Filled when the belt stood still and could not be watched."),
    )
    remarks = ArrayField(
        models.CharField(max_length=80, choices=[(one.value, _(one.value)) for one in Remark]),
        verbose_name=_("also noticed"),
        default=list,
        blank=True,
    )
    note = models.TextField(_("note"), blank=True)

    class Meta:
        ordering = ["-started_at", "-pk"]

    def __str__(self) -> str:
        return f"walk-down {self.pk}"


class Sighting(models.Model):
    """At one station: centred, a side and degree, an offset, or why it could not be seen."""

    walk_down = models.ForeignKey(WalkDown, models.CASCADE, related_name="sightings")
    # Made by whoever records it, so that sending twice stores once.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    station = models.CharField(_("station"), max_length=48)
    run = models.CharField(_("run"), max_length=8, choices=[(run.value, run.value) for run in Run])
    position_m = models.FloatField(_("loop position"))
    load = models.CharField(
        _("belt"), max_length=8, choices=[(state.value, _(state.value)) for state in LoadState]
    )
    offset_mm = models.FloatField(_("offset"), null=True, blank=True)
    degree = models.CharField(
        _("degree"),
        max_length=10,
        blank=True,
        choices=[(degree.value, _(degree.value)) for degree in Degree],
    )
    side = models.CharField(
        _("side"), max_length=5, blank=True, choices=[(side.value, _(side.value)) for side in Side]
    )
    persistence = models.CharField(
        _("persistence"),
        max_length=16,
        blank=True,
        choices=[(one.value, _(one.value)) for one in Persistence],
    )
    is_running_backwards = models.BooleanField(_("running backwards"), default=False)
    not_seen_reason = models.CharField(_("not reachable because"), max_length=200, blank=True)
    note = models.CharField(_("note"), max_length=400, blank=True)
    seen_at = models.DateTimeField(_("seen"))
    seen_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Taken back, not deleted: nothing recorded is ever lost.
    taken_back_at = models.DateTimeField(null=True, blank=True)
    # Somebody else's look that plainly says something else; until a person chooses, the earlier
    # one counts and this one does not.
    differs_from = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["seen_at", "pk"]
        constraints = [
            models.CheckConstraint(
                name="sighting_says_something",
                condition=(
                    Q(not_seen_reason__gt="", offset_mm__isnull=True, degree="")
                    | Q(not_seen_reason="", offset_mm__isnull=False)
                    | Q(not_seen_reason="", degree=Degree.CENTRED.value)
                    | (Q(not_seen_reason="", degree__gt="") & Q(side__gt=""))
                ),
            ),
            models.CheckConstraint(condition=Q(position_m__gte=0), name="sighting_on_the_loop"),
        ]

    def __str__(self) -> str:
        return f"{self.station} {self.degree or self.offset_mm}"
