"""A shift that was really made: what was moved where, by which end, how far, which way.

Rows are only added. One that was written down by mistake is taken back; one that was brought back
on the conveyor is undone, on the spot or by an order.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import ComponentKind, Run
from plant.words import KIND_WORDS, RUN_WORDS
from workorders.models.work_order import WorkOrder
from workorders.shift_choices import END_CHOICES, MOVED_CHOICES, WAY_CHOICES
from workorders.shift_ways import MOST_MM, OF_ONE_END, OF_THE_WHOLE, End


class ShiftMadeQuerySet(models.QuerySet["ShiftMade"]):
    def standing(self) -> "ShiftMadeQuerySet":
        return self.filter(undone_at__isnull=True, taken_back_at__isnull=True)


class ShiftMade(models.Model):
    """`station` is the name of the component or set as it was then, `position_m` where it stood."""

    conveyor = models.ForeignKey("plant.Conveyor", models.PROTECT, related_name="shifts_made")
    # Empty for what somebody shifted without an order.
    order = models.ForeignKey(
        WorkOrder, models.PROTECT, null=True, blank=True, related_name="shifts_made"
    )
    station = models.CharField(_("station"), max_length=60)
    kind = models.CharField(
        max_length=24, choices=[(kind.value, KIND_WORDS[kind]) for kind in ComponentKind]
    )
    run = models.CharField(max_length=8, choices=[(run.value, RUN_WORDS[run]) for run in Run])
    position_m = models.FloatField(_("loop position"), validators=[MinValueValidator(0)])
    moved = models.CharField(_("what was moved"), max_length=12, choices=MOVED_CHOICES)
    end = models.CharField(_("which end"), max_length=8, choices=END_CHOICES)
    way = models.CharField(_("which way"), max_length=16, choices=WAY_CHOICES)
    moved_mm = models.FloatField(_("how far"), validators=[MaxValueValidator(MOST_MM)])
    made_at = models.DateTimeField(_("made"))
    made_by = models.CharField(_("made by"), max_length=80, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    # What was written down at one time carries one mark, so that it can be taken back at once.
    together = models.UUIDField(editable=False)
    kept_at = models.DateTimeField(auto_now_add=True)
    kept_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, editable=False, related_name="+"
    )
    # The order that brings it back; with `undone_at` the one that did.
    undo_order = models.ForeignKey(
        WorkOrder, models.PROTECT, null=True, blank=True, related_name="undoes"
    )
    undone_at = models.DateTimeField(_("undone"), null=True, blank=True)
    undone_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = ShiftMadeQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        verbose_name_plural = "shifts made"
        constraints = [
            models.CheckConstraint(
                condition=Q(moved_mm__gt=0, moved_mm__lte=MOST_MM), name="shift_of_possible_size"
            ),
            models.CheckConstraint(
                condition=(
                    (~Q(way__in=sorted(OF_ONE_END)) | ~Q(end=End.BOTH.value))
                    & (~Q(way__in=sorted(OF_THE_WHOLE)) | Q(end=End.BOTH.value))
                ),
                name="shift_goes_a_way_its_end_can",
            ),
            models.CheckConstraint(
                condition=Q(undone_at__isnull=True) | Q(taken_back_at__isnull=True),
                name="shift_is_undone_or_taken_back",
            ),
        ]
        indexes = [
            models.Index(fields=["conveyor", "-made_at", "-id"], name="shifts_newest"),
            models.Index(fields=["together"], name="shifts_together"),
        ]

    def __str__(self) -> str:
        return f"{self.station} {self.moved} {self.end} {self.moved_mm:g} mm {self.way}"

    @property
    def brought_back_by(self) -> WorkOrder | None:
        """The open order that is to undo it; the one its own was merged into, if it was."""
        order = self.undo_order
        while order is not None and order.merged_into is not None:
            order = order.merged_into
        return order if order is not None and order.is_open else None
