"""A month's report as it was made, when it is made by itself, and to whom it goes by mail.

A report is owed from the moment it is asked for until a worker has made it. What was made stays as
it was: making the month again makes another one, so that what somebody was sent can be told apart.
"""

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned
from workorders.month import Month

# Every month has it.
LAST_DAY_OF_MONTH = 28
USUAL_DAY = 2


class MonthlyReportQuerySet(models.QuerySet["MonthlyReport"]):
    def owed(self) -> "MonthlyReportQuerySet":
        return self.filter(state=MonthlyReport.State.OWED)


class MonthlyReport(models.Model):
    class State(models.TextChoices):
        OWED = "owed", _("being made")
        MADE = "made", _("made")
        STOPPED = "stopped", _("stopped")
        FAILED = "failed", _("not made")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="monthly_reports")
    # The first day of the month it is about.
    month_on = models.DateField(_("month"))
    state = models.CharField(
        _("state"), max_length=8, choices=State.choices, default=State.OWED.value
    )
    # Owed by the plant's setting: it goes out by mail, and is made once.
    is_scheduled = models.BooleanField(_("made by itself"), default=False)
    asked_at = models.DateTimeField(_("asked for"))
    asked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    times_begun = models.PositiveSmallIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    # How far it is, as a share of 1, for the page.
    progress = models.FloatField(default=0.0)
    # Why it was not made, as a code.
    refusal = models.CharField(max_length=30, blank=True)
    ended_at = models.DateTimeField(_("made"), null=True, blank=True)
    # What it says, in the shape of workorders/month_report/figures.py; {} until it is made.
    figures = models.JSONField(default=dict, blank=True)
    # It has no public address: a page hands it out.
    file = models.FileField(_("file"), blank=True)

    objects: ClassVar = MonthlyReportQuerySet.as_manager()

    class Meta:
        ordering = ["-month_on", "-asked_at", "-pk"]
        constraints = [
            # Asking twice asks once; it is also the index of what is owed.
            models.UniqueConstraint(
                fields=["plant", "month_on"],
                condition=Q(state="owed"),
                name="one_owed_report_per_month",
            ),
            models.UniqueConstraint(
                fields=["plant", "month_on"],
                condition=Q(is_scheduled=True),
                name="one_scheduled_report_per_month",
            ),
            models.CheckConstraint(
                condition=~Q(state="made") | ~Q(file=""), name="made_report_has_its_file"
            ),
            models.CheckConstraint(
                condition=Q(month_on__day=1), name="report_month_is_a_first_day"
            ),
        ]
        indexes = [
            models.Index(fields=["plant", "-month_on", "-asked_at"], name="report_by_plant"),
        ]

    def __str__(self) -> str:
        return f"{self.plant_id} {self.month.code}: {self.state}"

    @property
    def month(self) -> Month:
        return Month.of(self.month_on)

    @property
    def is_owed(self) -> bool:
        return self.state == self.State.OWED

    @property
    def is_made(self) -> bool:
        return self.state == self.State.MADE


class MonthlyReportSetting(Versioned):
    """Whether a plant's report is made by itself; without a row it is not."""

    plant = models.OneToOneField(
        "plant.Plant", models.CASCADE, related_name="monthly_report_setting"
    )
    is_on = models.BooleanField(_("make it by itself"), default=False)
    # Of the month after the reported one, in the plant's own zone.
    day = models.PositiveSmallIntegerField(
        _("day of the month"),
        default=USUAL_DAY,
        validators=[MinValueValidator(1), MaxValueValidator(LAST_DAY_OF_MONTH)],
    )
    recipients = models.ManyToManyField("plant.User", blank=True, related_name="+")
    # The first month it is made for since it was switched on, and the last it was owed for.
    begins_on = models.DateField()
    owed_through = models.DateField(null=True, blank=True)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(day__gte=1, day__lte=LAST_DAY_OF_MONTH),
                name="report_day_in_every_month",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plant_id}: {'on' if self.is_on else 'off'}, day {self.day}"


class MonthlyReportMail(models.Model):
    """One report owed to one person by mail; `sent_at` is written before it goes out."""

    report = models.ForeignKey(MonthlyReport, models.CASCADE, related_name="mails")
    user = models.ForeignKey("plant.User", models.CASCADE, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    try_at = models.DateTimeField(null=True, blank=True)
    # Given up, as a code.
    refusal = models.CharField(max_length=30, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["report", "user"], name="one_mail_per_report_and_person"
            )
        ]
        indexes = [
            models.Index(
                fields=["try_at"],
                name="report_mail_owed",
                condition=Q(sent_at__isnull=True, refusal=""),
            )
        ]

    def __str__(self) -> str:
        return f"{self.report_id} to {self.user_id}"
