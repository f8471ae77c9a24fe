"""When conveyors may be down: single windows, and series that make them."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned
from workorders.order_states import OPEN_STATES

_OPEN = sorted(state.value for state in OPEN_STATES)


class OutageSeries(Versioned):
    """A window that comes back, by an RFC 5545 rule in the plant's own time.

    Its windows are rows of their own as far as they have been made, so that each can move.
    """

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="outage_series")
    name = models.CharField(_("name"), max_length=120)
    conveyors = models.ManyToManyField("plant.Conveyor", related_name="+")
    first_starts_at = models.DateTimeField(_("first begins"))
    minutes = models.PositiveIntegerField(_("minutes"))
    rule = models.CharField(_("repeats"), max_length=200)
    made_until = models.DateTimeField(null=True, blank=True, editable=False)
    ended_on = models.DateField(_("ended"), null=True, blank=True)

    class Meta:
        ordering = ["first_starts_at", "pk"]
        verbose_name_plural = "outage series"
        constraints = [
            models.CheckConstraint(condition=Q(minutes__gt=0), name="series_lasts_a_while")
        ]

    def __str__(self) -> str:
        return self.name


class OutageWindowQuerySet(models.QuerySet["OutageWindow"]):
    def standing(self) -> "OutageWindowQuerySet":
        return self.filter(called_off_at__isnull=True)

    def with_open_orders(self) -> "OutageWindowQuerySet":
        return self.filter(orders__state__in=_OPEN).distinct()


class OutageWindow(Versioned):
    """Its conveyors are down from `starts_at` to `ends_at`, unless it is called off."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="outage_windows")
    series = models.ForeignKey(
        OutageSeries, models.SET_NULL, null=True, blank=True, related_name="windows"
    )
    name = models.CharField(_("name"), max_length=120)
    conveyors = models.ManyToManyField("plant.Conveyor", related_name="outage_windows")
    starts_at = models.DateTimeField(_("begins"))
    ends_at = models.DateTimeField(_("ends"))
    # Where the calendar it came from calls it; empty for one made here.
    calendar_uid = models.CharField(max_length=255, blank=True, editable=False)
    calendar_name = models.CharField(_("calendar"), max_length=120, blank=True, editable=False)
    # What the calendar said of it last: as long as it says the same, people's changes stand.
    calendar_said = models.JSONField(default=dict, editable=False)
    # Where its series put it, or a person first; windows that move are counted.
    first_starts_at = models.DateTimeField(editable=False)
    called_off_at = models.DateTimeField(_("called off"), null=True, blank=True)
    called_off_why = models.CharField(_("why called off"), max_length=200, blank=True)
    kept_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, editable=False)

    objects = OutageWindowQuerySet.as_manager()

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="window_ends_after_it_begins"
            ),
            models.UniqueConstraint(
                fields=["plant", "calendar_uid", "first_starts_at"],
                condition=~Q(calendar_uid=""),
                name="one_window_per_calendar_entry",
            ),
            models.UniqueConstraint(
                fields=["series", "first_starts_at"], name="one_window_of_a_series_at_a_time"
            ),
        ]
        indexes = [models.Index(fields=["plant", "starts_at"], name="window_by_plant")]

    def __str__(self) -> str:
        return f"{self.name} {self.starts_at:%Y-%m-%d %H:%M}"
