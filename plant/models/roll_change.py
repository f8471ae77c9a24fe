"""A roll of an idler set that was changed for another one: which, when, why, by whom."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.loop.rolls import RollPlace, WhyChanged
from plant.models.versioned import Versioned
from plant.roll_words import ROLL_WORDS, WHY_WORDS


class RollChange(Versioned):
    """`set_number` counts the sets of the group in the direction of travel, as readings do.

    A set that was taken out has no number any more: `set_name` says what it was called and
    `stood_mm` where it stood. Of a set that stands, `set_name` is what it was called then.
    """

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="roll_changes")
    # A group that is removed leaves its roll changes: they happened.
    component = models.ForeignKey(
        "plant.Component", models.SET_NULL, null=True, blank=True, related_name="roll_changes"
    )
    set_number = models.PositiveIntegerField(
        _("set"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20_000)],
        help_text=_("Which set of the group, counted in the direction of travel."),
    )
    set_name = models.CharField(_("name of the set"), max_length=60, blank=True)
    stood_mm = models.PositiveIntegerField(null=True, blank=True, editable=False)
    roll = models.CharField(
        _("roll"), max_length=12, choices=[(one.value, ROLL_WORDS[one]) for one in RollPlace]
    )
    changed_on = models.DateField(_("changed"), validators=[check_day])
    why = models.CharField(
        _("why"), max_length=16, choices=[(one.value, WHY_WORDS[one]) for one in WhyChanged]
    )
    fitted = models.CharField(
        _("new roll"), max_length=120, blank=True, help_text=_("Its maker, size or part number.")
    )
    changed_by = models.CharField(_("changed by"), max_length=80, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    # What was written down at one time carries one mark, so that it can be taken back at once.
    together = models.UUIDField(null=True, blank=True, editable=False)
    kept_at = models.DateTimeField(auto_now_add=True)
    kept_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, editable=False, related_name="+"
    )
    undone_at = models.DateTimeField(_("taken back"), null=True, blank=True, editable=False)
    undone_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["-changed_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["component", "set_number", "roll", "changed_on"],
                condition=Q(undone_at__isnull=True),
                name="one_change_of_a_roll_a_day",
            ),
        ]
        indexes = [
            models.Index(fields=["conveyor", "-changed_on", "-id"], name="roll_changes_newest"),
            models.Index(fields=["together"], name="roll_changes_together"),
        ]

    def __str__(self) -> str:
        return f"{self.set_name} {self.get_roll_display()} {self.changed_on}"
