"""Anything the belt touches or that holds it; a group of equally spaced idler sets is one row."""

from decimal import Decimal

from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import RangeOperators
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Func, Q, Value
from django.db.models.functions import Coalesce, Upper
from django.utils.translation import gettext_lazy as _

from plant.loop.parts import Part
from plant.loop.rolls import MOST_ROLLS
from plant.loop.vocabulary import IDLERS, ComponentKind, Run
from plant.models.conveyor import Conveyor
from plant.models.versioned import Versioned
from plant.words import KIND_WORDS, RUN_WORDS


def _to_the_millimetre(metres: float) -> Decimal:
    return Decimal(str(round(metres, 3)))


class Component(Versioned):
    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, related_name="components")
    name = models.CharField(
        _("name"),
        max_length=40,
        help_text=_("Of a numbered group: what stands before each set's number."),
    )
    kind = models.CharField(
        _("kind"),
        max_length=24,
        choices=[(kind.value, KIND_WORDS[kind]) for kind in ComponentKind],
    )
    run = models.CharField(
        _("run"), max_length=8, choices=[(run.value, RUN_WORDS[run]) for run in Run]
    )
    # Decimals, so that touching groups compare exactly in the exclusion constraint.
    first_m = models.DecimalField(
        _("loop position"), max_digits=9, decimal_places=3, validators=[MinValueValidator(0)]
    )
    spacing_m = models.DecimalField(
        _("spacing"),
        max_digits=7,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    count = models.PositiveIntegerField(
        _("count"), default=1, validators=[MinValueValidator(1), MaxValueValidator(20_000)]
    )
    is_numbered = models.BooleanField(_("numbered group"), default=False)
    set_prefix = models.CharField(
        _("name of its sets"),
        max_length=40,
        blank=True,
        help_text=_("Of a numbered group whose sets go by another name than its own."),
    )
    first_number = models.PositiveIntegerField(
        _("first number"),
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(99_999)],
        help_text=_("Of a numbered group: the number of its first set."),
    )
    last_m = models.GeneratedField(
        expression=F("first_m") + Coalesce(F("spacing_m"), Value(0)) * (F("count") - 1),
        output_field=models.DecimalField(max_digits=14, decimal_places=3),
        db_persist=True,
    )
    diameter_mm = models.FloatField(
        _("diameter"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    wrap_deg = models.FloatField(
        _("wrap"), null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(360)]
    )
    in_deg = models.FloatField(_("angle in"), null=True, blank=True)
    out_deg = models.FloatField(_("angle out"), null=True, blank=True)
    length_m = models.FloatField(
        _("length"), null=True, blank=True, validators=[MinValueValidator(0)]
    )
    rolls_per_set = models.PositiveSmallIntegerField(
        _("rolls of a set"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_ROLLS)],
        help_text=_("Of idlers, where they are not as many as usual for their kind."),
    )
    fitted_on = models.DateField(_("fitted"), null=True, blank=True)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        ordering = ["first_m", "name"]
        constraints = [
            models.UniqueConstraint(
                "conveyor", Upper("name"), name="one_component_per_name_and_conveyor"
            ),
            models.UniqueConstraint(
                "conveyor",
                condition=Q(kind=ComponentKind.HEAD_PULLEY.value),
                name="one_head_pulley_per_conveyor",
            ),
            models.UniqueConstraint(
                "conveyor",
                condition=Q(kind=ComponentKind.TAIL_PULLEY.value),
                name="one_tail_pulley_per_conveyor",
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1, first_m__gte=0) & (Q(count=1) | Q(spacing_m__gt=0)),
                name="component_group_has_spacing",
            ),
            # Two idler sets cannot stand in one place; the database says so to every writer.
            ExclusionConstraint(
                name="idler_groups_do_not_overlap",
                expressions=[
                    ("conveyor", RangeOperators.EQUAL),
                    ("run", RangeOperators.EQUAL),
                    (
                        Func(F("first_m"), F("last_m"), Value("[]"), function="numrange"),
                        RangeOperators.OVERLAPS,
                    ),
                ],
                condition=Q(kind__in=sorted(kind.value for kind in IDLERS)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.get_kind_display()})"

    @property
    def is_idler(self) -> bool:
        return self.kind in IDLERS

    @property
    def last_number(self) -> int:
        return self.first_number + self.count - 1

    @classmethod
    def of_part(cls, conveyor: Conveyor, part: Part) -> "Component":
        """A row, not yet saved, for a part that was computed."""
        return cls(
            conveyor=conveyor,
            name=part.name,
            kind=part.kind.value,
            run=part.run.value,
            first_m=_to_the_millimetre(part.first_m),
            spacing_m=None if part.spacing_m is None else _to_the_millimetre(part.spacing_m),
            count=part.count,
            is_numbered=part.is_numbered,
            diameter_mm=part.diameter_mm,
            wrap_deg=part.wrap_deg,
            in_deg=part.in_deg,
            out_deg=part.out_deg,
            length_m=part.length_m,
            set_prefix=part.set_prefix,
            first_number=part.first_number,
            rolls_per_set=part.rolls_per_set,
        )

    def as_part(self) -> Part:
        """This row as the pure loop sees it."""
        return Part(
            name=self.name,
            kind=ComponentKind(self.kind),
            run=Run(self.run),
            first_m=float(self.first_m),
            spacing_m=None if self.spacing_m is None else float(self.spacing_m),
            count=self.count,
            is_numbered=self.is_numbered,
            diameter_mm=self.diameter_mm,
            wrap_deg=self.wrap_deg,
            in_deg=self.in_deg,
            out_deg=self.out_deg,
            length_m=self.length_m,
            set_prefix=self.set_prefix,
            first_number=self.first_number,
            rolls_per_set=self.rolls_per_set,
        )
