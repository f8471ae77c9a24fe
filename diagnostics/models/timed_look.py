"""A timed look: one station watched for some turns of the belt, by taps or by a sensor."""

import uuid
from pathlib import PurePath

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.vocabulary import LoadState, TimedLookKind
from plant.loop.vocabulary import Run


def _file_path(look: "TimedLook", _name: str) -> str:
    """Nothing of the sender's name: it goes no farther than the page that offers the file."""
    return f"timed-looks/{look.started_at:%Y/%m}/{look.client_id}.csv"


class TimedLook(models.Model):
    class Kind(models.TextChoices):
        TAPS = TimedLookKind.TAPS.value, _("taps")
        LOG = TimedLookKind.LOG.value, _("sensor file")

    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="timed_looks")
    # Made by whoever records it, so that sending twice stores once.
    client_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(_("kind"), max_length=4, choices=Kind.choices)
    station = models.CharField(_("station"), max_length=48)
    run = models.CharField(_("run"), max_length=8, choices=[(run.value, run.value) for run in Run])
    position_m = models.FloatField(_("loop position"))
    load = models.CharField(
        _("belt"), max_length=8, choices=[(state.value, _(state.value)) for state in LoadState]
    )
    is_running_backwards = models.BooleanField(_("running backwards"), default=False)
    started_at = models.DateTimeField(_("started"))
    duration_s = models.FloatField(_("lasted"))
    # [second, event] in order of time, sides as in the register.
    taps = models.JSONField(default=list, blank=True)
    splice_passes_s = ArrayField(
        models.FloatField(), verbose_name=_("passes of the splice"), default=list, blank=True
    )
    file = models.FileField(_("file"), upload_to=_file_path, blank=True)
    file_name = models.CharField(max_length=120, blank=True)
    # Thinned and packed, so that nothing reads the file again.
    samples = models.BinaryField(null=True, blank=True)
    note = models.CharField(_("note"), max_length=400, blank=True)
    # What it said when it was recorded; the page reads it anew.
    said = models.CharField(max_length=400, blank=True)
    made_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="timed_look_of_one_kind",
                condition=(
                    Q(kind=TimedLookKind.TAPS.value, samples__isnull=True, file="")
                    | Q(kind=TimedLookKind.LOG.value, samples__isnull=False, taps=[])
                ),
            ),
            models.CheckConstraint(condition=Q(position_m__gte=0), name="timed_look_on_the_loop"),
            models.CheckConstraint(condition=Q(duration_s__gt=0), name="timed_look_takes_time"),
        ]

    def __str__(self) -> str:
        return f"{self.station} {self.get_kind_display()}"

    @property
    def file_to_take(self) -> str:
        """A name for the file that is safe to offer."""
        return PurePath(self.file_name).name or f"timed-look-{self.pk}.csv"
