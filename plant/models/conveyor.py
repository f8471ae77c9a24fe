"""One belt conveyor: its figures and its own words."""

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex, OpClass
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import Side, TakeUpKind
from plant.models.versioned import Versioned
from plant.words import CONSEQUENCE_WORDS, TAKE_UP_WORDS

MOST_ISOLATION_POINTS = 20
LONGEST_ISOLATION_POINT = 200


class ConveyorQuerySet(models.QuerySet["Conveyor"]):
    def in_service(self) -> "ConveyorQuerySet":
        return self.filter(retired_on__isnull=True)


class Conveyor(Versioned):
    plant = models.ForeignKey("plant.Plant", models.PROTECT, related_name="conveyors")
    # Part of its page's address, hence no slash.
    tag = models.CharField(
        _("tag"),
        max_length=40,
        validators=[
            RegexValidator(r"^[^\W_][^/\\]*$", _("Begin with a letter or digit; no slashes."))
        ],
    )
    name = models.CharField(_("name"), max_length=120)
    nicknames = ArrayField(
        models.CharField(max_length=60),
        verbose_name=_("nicknames"),
        default=list,
        blank=True,
        help_text=_("What people call it on the telephone, separated by commas."),
    )
    area = models.CharField(_("area"), max_length=80, blank=True)
    carries = models.CharField(_("carries"), max_length=80, blank=True)
    centre_distance_m = models.FloatField(
        _("centre distance"), validators=[MinValueValidator(0.5), MaxValueValidator(50_000)]
    )
    lift_m = models.FloatField(
        _("lift"), default=0, validators=[MinValueValidator(-2000), MaxValueValidator(2000)]
    )
    # Pairs of loop position and height; see plant/loop/profile.py. Part of the row, so that its
    # history is that of the conveyor.
    profile = ArrayField(
        ArrayField(models.FloatField(), size=2),
        verbose_name=_("heights along the carrying run"),
        default=list,
        blank=True,
    )
    speed_mps = models.FloatField(
        _("belt speed"), validators=[MinValueValidator(0.01), MaxValueValidator(20)]
    )
    capacity_tph = models.FloatField(
        _("capacity"), null=True, blank=True, validators=[MinValueValidator(0)]
    )
    trough_angle_deg = models.FloatField(
        _("trough angle"), default=35, validators=[MinValueValidator(0), MaxValueValidator(60)]
    )
    return_vee_deg = models.FloatField(
        _("return vee angle"), default=0, validators=[MinValueValidator(0), MaxValueValidator(30)]
    )
    clearance_mm = models.FloatField(
        _("edge clearance"),
        default=100,
        validators=[MinValueValidator(5), MaxValueValidator(1000)],
        help_text=_("How far the belt can run to one side before it touches the structure."),
    )
    take_up_kind = models.CharField(
        _("take-up"),
        max_length=12,
        choices=[(kind.value, TAKE_UP_WORDS[kind]) for kind in TakeUpKind],
        default=TakeUpKind.GRAVITY.value,
    )
    take_up_tension_kn = models.FloatField(
        _("take-up tension"),
        null=True,
        blank=True,
        validators=[MinValueValidator(0.1), MaxValueValidator(2000)],
        help_text=_(
            "In one strand: at a gravity take-up half the weight, at a screw where the belt "
            "leaves the tail."
        ),
    )
    is_reversing = models.BooleanField(_("reversing"), default=False)
    left_words = models.CharField(
        _("word for left"), max_length=40, blank=True, help_text=_("Such as walkway side.")
    )
    right_words = models.CharField(_("word for right"), max_length=40, blank=True)
    # What is locked before hands come near, in the order in which it is locked.
    isolation_points = ArrayField(
        models.CharField(max_length=LONGEST_ISOLATION_POINT),
        verbose_name=_("isolation points"),
        default=list,
        blank=True,
        size=MOST_ISOLATION_POINTS,
        help_text=_("One to a line, in the order in which they are locked."),
    )
    hour_costs = models.DecimalField(
        _("what an hour down costs"), max_digits=12, decimal_places=2, null=True, blank=True
    )
    consequence = models.CharField(
        _("when it stands"),
        max_length=12,
        blank=True,
        choices=[(one.value, words) for one, words in CONSEQUENCE_WORDS.items()],
        help_text=_("What stands still with it; work on it is judged by this, too."),
    )
    note = models.TextField(_("note"), blank=True)
    retired_on = models.DateField(_("retired"), null=True, blank=True)
    changed_at = models.DateTimeField(auto_now=True)

    objects = ConveyorQuerySet.as_manager()

    class Meta:
        ordering = ["tag"]
        constraints = [
            models.UniqueConstraint(
                "plant",
                Upper("tag"),
                name="one_conveyor_per_tag_and_plant",
                violation_error_message=_("Another conveyor of this plant has this tag."),
            ),
            models.CheckConstraint(
                condition=models.Q(speed_mps__gt=0, centre_distance_m__gt=0, clearance_mm__gt=0),
                name="conveyor_figures_above_zero",
            ),
        ]
        indexes = [
            GinIndex(OpClass(Upper("tag"), name="gin_trgm_ops"), name="conveyor_tag_trigram"),
            GinIndex(OpClass(Upper("name"), name="gin_trgm_ops"), name="conveyor_name_trigram"),
        ]

    def __str__(self) -> str:
        return f"{self.tag} {self.name}"

    def words_for(self, side: Side | str) -> str:
        """The conveyor's own word for a side; empty when it has none."""
        return self.left_words if Side(side) is Side.LEFT else self.right_words
