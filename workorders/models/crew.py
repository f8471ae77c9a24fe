"""A crew: how many people, what they can do, when they work, who is away."""

from django.contrib.postgres.fields import ArrayField
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned


class Crew(Versioned):
    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="crews")
    name = models.CharField(_("name"), max_length=60)
    people = models.PositiveSmallIntegerField(
        _("people"), validators=[MinValueValidator(1), MaxValueValidator(99)]
    )
    # The words of the steps of work methods: mechanic, rigger, splicer.
    skills = ArrayField(models.CharField(max_length=60), verbose_name=_("skills"), default=list)
    overtime_minutes = models.PositiveSmallIntegerField(
        _("overtime"),
        default=0,
        validators=[MaxValueValidator(480)],
        help_text=_("Minutes after the end of a shift that may be asked for when need be."),
    )
    # Of its calendar feed, which asks for no sign-in; empty: there is none.
    calendar_key_hash = models.CharField(max_length=64, blank=True, editable=False)
    retired_on = models.DateField(_("retired"), null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                "plant",
                Upper("name"),
                name="one_crew_per_name_and_plant",
                violation_error_message=_("Another crew of this plant has this name."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class CrewShift(models.Model):
    """Hours that come back every week, in the plant's own time; may end after midnight."""

    class Weekday(models.IntegerChoices):
        MONDAY = 0, _("Monday")
        TUESDAY = 1, _("Tuesday")
        WEDNESDAY = 2, _("Wednesday")
        THURSDAY = 3, _("Thursday")
        FRIDAY = 4, _("Friday")
        SATURDAY = 5, _("Saturday")
        SUNDAY = 6, _("Sunday")

    crew = models.ForeignKey(Crew, models.CASCADE, related_name="shifts")
    weekday = models.PositiveSmallIntegerField(_("day"), choices=Weekday.choices)
    begins_at = models.TimeField(_("from"))
    # Not after `begins_at`: on the next day.
    ends_at = models.TimeField(_("to"))

    class Meta:
        ordering = ["weekday", "begins_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["crew", "weekday", "begins_at"], name="one_shift_of_a_crew_begins_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(weekday__gte=0, weekday__lte=6), name="shift_is_on_a_day_of_the_week"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins_at:%H:%M}-{self.ends_at:%H:%M}"


class CrewAbsence(models.Model):
    """`people` of a crew are away; rows stay when it was a mistake, taken back."""

    crew = models.ForeignKey(Crew, models.CASCADE, related_name="absences")
    starts_at = models.DateTimeField(_("from"))
    ends_at = models.DateTimeField(_("until"))
    people = models.PositiveSmallIntegerField(
        _("people away"), validators=[MinValueValidator(1), MaxValueValidator(99)]
    )
    why = models.CharField(_("why"), max_length=200, blank=True)
    said_at = models.DateTimeField()
    said_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="absence_ends_after_it_starts"
            )
        ]
        indexes = [models.Index(fields=["crew", "starts_at"], name="absence_by_crew")]

    def __str__(self) -> str:
        return f"{self.crew_id}: {self.people} away from {self.starts_at:%Y-%m-%d %H:%M}"
