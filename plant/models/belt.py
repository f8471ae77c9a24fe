"""The belting fitted to a conveyor, its joints and its marks.

Belt position [m]: along the belt from its reference splice in the direction of travel.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import Side
from plant.models.versioned import Versioned
from plant.words import SIDE_WORDS


class Belt(Versioned):
    class Carcass(models.TextChoices):
        EP = "EP", _("EP fabric")
        ST = "ST", _("steel cord")
        OTHER = "other", _("other")

    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="belts")
    name = models.CharField(_("name"), max_length=60, blank=True)
    width_mm = models.FloatField(
        _("width"), validators=[MinValueValidator(100), MaxValueValidator(4000)]
    )
    carcass = models.CharField(
        _("carcass"), max_length=8, choices=Carcass.choices, default=Carcass.EP
    )
    strength_n_mm = models.FloatField(
        _("strength"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    modulus_kn_m = models.FloatField(
        _("modulus"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    mass_kg_m2 = models.FloatField(
        _("mass"), null=True, blank=True, validators=[MinValueValidator(0.5)]
    )
    length_m = models.FloatField(
        _("length"), validators=[MinValueValidator(1), MaxValueValidator(100_000)]
    )
    fitted_on = models.DateField(_("fitted"), null=True, blank=True)
    removed_on = models.DateField(_("taken off"), null=True, blank=True)

    class Meta:
        ordering = ["-fitted_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                "conveyor",
                condition=Q(removed_on__isnull=True),
                name="one_fitted_belt_per_conveyor",
                violation_error_message=_("This conveyor has a belt fitted; take it off first."),
            ),
        ]

    def __str__(self) -> str:
        return self.name or f"{self.carcass} {self.width_mm:g} mm"


class Splice(Versioned):
    belt = models.ForeignKey(Belt, models.CASCADE, related_name="splices")
    name = models.CharField(_("name"), max_length=20)
    belt_position_m = models.FloatField(_("belt position"), validators=[MinValueValidator(0)])
    made_on = models.DateField(_("made"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)

    class Meta:
        ordering = ["belt_position_m"]
        constraints = [
            models.UniqueConstraint("belt", Upper("name"), name="one_splice_per_name_and_belt"),
        ]

    def __str__(self) -> str:
        return self.name


class BeltMark(Versioned):
    """A repair, tear or damage at a belt position and side."""

    class Kind(models.TextChoices):
        REPAIR = "repair", _("repair")
        TEAR = "tear", _("tear")
        EDGE = "edge damage", _("edge damage")
        COVER = "cover damage", _("cover damage")

    belt = models.ForeignKey(Belt, models.CASCADE, related_name="marks")
    kind = models.CharField(_("kind"), max_length=16, choices=Kind.choices)
    belt_position_m = models.FloatField(_("belt position"), validators=[MinValueValidator(0)])
    length_m = models.FloatField(
        _("length"), null=True, blank=True, validators=[MinValueValidator(0)]
    )
    side = models.CharField(
        _("side"),
        max_length=5,
        blank=True,
        choices=[(side.value, SIDE_WORDS[side]) for side in Side],
    )
    seen_on = models.DateField(_("seen"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)

    class Meta:
        ordering = ["belt_position_m"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} at {self.belt_position_m:g} m"
