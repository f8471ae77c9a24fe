"""Where a part fits, in words and figures of the register."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import ComponentKind
from plant.words import KIND_WORDS
from workorders.models.part import LEAST_AMOUNT, Part
from workorders.planning.part_places import BELT, CountedBy

COUNTED_WORDS = {
    CountedBy.ONE: _("each one; an idler set counts once"),
    CountedBy.ROLL: _("each roll of a set"),
    CountedBy.WING_ROLL: _("each wing roll of a set"),
    CountedBy.CENTRE_ROLL: _("each centre roll of a set"),
    CountedBy.METRE: _("each metre of it"),
}


class PartUse(models.Model):
    """Figures left empty may be anything; workorders/planning/part_places.py says what matches."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="uses")
    on = models.CharField(
        _("fits on"),
        max_length=24,
        choices=[(BELT, _("belt")), *((one.value, KIND_WORDS[one]) for one in ComponentKind)],
    )
    by = models.CharField(
        _("counted by"),
        max_length=12,
        choices=[(one.value, words) for one, words in COUNTED_WORDS.items()],
        default=CountedBy.ONE.value,
    )
    each = models.DecimalField(
        _("which takes"),
        max_digits=8,
        decimal_places=2,
        default=1,
        validators=[MinValueValidator(LEAST_AMOUNT), MaxValueValidator(9999)],
    )
    conveyor = models.ForeignKey(
        "plant.Conveyor",
        models.CASCADE,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("only on"),
    )
    name = models.CharField(_("only where the name is"), max_length=40, blank=True)
    belt_width_mm = models.FloatField(
        _("belt width"),
        null=True,
        blank=True,
        validators=[MinValueValidator(100), MaxValueValidator(4000)],
    )
    belt_strength_n_mm = models.FloatField(
        _("belt strength"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20_000)],
    )
    diameter_mm = models.FloatField(
        _("diameter"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(10_000)],
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(each__gt=0), name="use_takes_something"),
            models.UniqueConstraint(
                fields=[
                    "part",
                    "on",
                    "by",
                    "conveyor",
                    "name",
                    "belt_width_mm",
                    "belt_strength_n_mm",
                    "diameter_mm",
                ],
                nulls_distinct=False,
                name="one_use_said_once",
            ),
        ]
        indexes = [models.Index(fields=["on"], name="part_use_by_kind")]

    def __str__(self) -> str:
        return f"{self.part_id} on {self.on}"
