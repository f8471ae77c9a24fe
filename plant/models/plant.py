"""A site: what its people share, from the time zone to the recurrence window."""

from datetime import date, datetime
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.utils.translation import gettext_lazy as _


def check_time_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(
            _("%(name)s is not a time zone; write it like Europe/Lisbon."), params={"name": name}
        )


class Plant(models.Model):
    code = models.CharField(
        _("code"),
        max_length=12,
        unique=True,
        validators=[RegexValidator(r"^[A-Z0-9]+$", _("Capital letters and digits only."))],
        help_text=_("Short, for numbers of cases and orders: LT."),
    )
    name = models.CharField(_("name"), max_length=120, unique=True)
    time_zone = models.CharField(
        _("time zone"), max_length=64, default="UTC", validators=[check_time_zone]
    )
    recurrence_window_days = models.PositiveIntegerField(
        _("recurrence window"),
        default=180,
        validators=[MinValueValidator(1)],
        help_text=_("Days after a passed proof run in which the same fault counts as come back."),
    )
    recurrence_distance_m = models.PositiveIntegerField(
        _("same place"), default=15, help_text=_("Metres within which two places are the same.")
    )
    is_demo = models.BooleanField(_("invented demo data"), default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name"]
        permissions = [("administer_plant", "May keep users, plants and keys")]

    def __str__(self) -> str:
        return self.name

    @property
    def zone_info(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    def day_of(self, moment: datetime) -> date:
        """The day it is here at that instant: what "today" and "overdue" go by."""
        return moment.astimezone(self.zone_info).date()
