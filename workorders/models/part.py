"""Parts: what there is, what is reserved for orders, what is due. Nothing is bought here."""

from decimal import Decimal

from django.contrib.postgres.fields import ArrayField
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _

from plant.models.acting_key import acting_key_name
from plant.models.versioned import Versioned
from workorders.models.work_order import WorkOrder

# A decimal: the float of this value is a little more than it says.
LEAST_AMOUNT = Decimal("0.01")
# Far more than any store holds; the column ends a hundred times further up.
MOST_AMOUNT = Decimal(1_000_000)


class Part(Versioned):
    class Kind(models.TextChoices):
        ROLL = "roll", _("roll")
        FRAME = "frame", _("frame")
        LAGGING = "lagging", _("lagging")
        FASTENER = "fastener", _("fastener")
        BEARING = "bearing", _("bearing")
        BELT = "belt", _("belt")
        OTHER = "other", _("other")

    class Unit(models.TextChoices):
        PIECE = "pcs", _("pcs")
        SET = "set", _("sets")
        METRE = "m", _("m")
        SQUARE_METRE = "m2", _("m²")
        KILOGRAM = "kg", _("kg")
        LITRE = "l", _("l")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="parts")
    number = models.CharField(_("part number"), max_length=40)
    name = models.CharField(_("name"), max_length=120)
    kind = models.CharField(_("kind"), max_length=10, choices=Kind.choices)
    unit = models.CharField(
        _("counted in"), max_length=12, choices=Unit.choices, default=Unit.PIECE.value
    )
    # What people write for it in roll changes and lists of parts, besides its number.
    known_as = ArrayField(
        models.CharField(max_length=120), verbose_name=_("also written as"), default=list
    )
    on_hand = models.DecimalField(_("on hand"), max_digits=10, decimal_places=2, default=0)
    kept_at = models.CharField(_("kept at"), max_length=60, blank=True)
    note = models.CharField(_("note"), max_length=400, blank=True)
    retired_on = models.DateField(_("retired"), null=True, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                "plant",
                Upper("number"),
                name="one_part_per_number_and_plant",
                violation_error_message=_("Another part of this plant has this number."),
            ),
            models.CheckConstraint(condition=Q(on_hand__gte=0), name="no_less_than_no_parts"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

    @property
    def is_counted_whole(self) -> bool:
        return self.unit in {self.Unit.PIECE, self.Unit.SET}


class PartDueQuerySet(models.QuerySet["PartDue"]):
    def waiting(self) -> "PartDueQuerySet":
        """Neither come nor called off."""
        return self.filter(came_at__isnull=True, called_off_at__isnull=True)


class PartDue(Versioned):
    """So many are to come on a day; what came or was called off stays as a row."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="dues")
    amount = models.DecimalField(
        _("amount"), max_digits=10, decimal_places=2, validators=[MinValueValidator(LEAST_AMOUNT)]
    )
    due_on = models.DateField(_("due"))
    note = models.CharField(_("note"), max_length=200, blank=True)
    came_at = models.DateTimeField(_("came"), null=True, blank=True)
    called_off_at = models.DateTimeField(_("called off"), null=True, blank=True)
    said_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = PartDueQuerySet.as_manager()

    class Meta:
        ordering = ["due_on", "pk"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="something_is_due")]

    def __str__(self) -> str:
        return f"{self.amount} due {self.due_on}"


class OrderPart(Versioned):
    """What an order needs of a part (reserved while the order is open) and what it used."""

    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="order_parts")
    part = models.ForeignKey(Part, models.PROTECT, related_name="order_parts")
    amount = models.DecimalField(
        _("needed"), max_digits=10, decimal_places=2, validators=[MinValueValidator(0)]
    )
    used = models.DecimalField(
        _("used"), max_digits=10, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )

    class Meta:
        ordering = ["part__number"]
        constraints = [
            models.UniqueConstraint(fields=["order", "part"], name="one_line_per_order_and_part"),
            models.CheckConstraint(
                condition=Q(amount__gte=0, used__gte=0), name="order_part_not_below_nothing"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} of {self.part_id} for {self.order_id}"


class PartMovement(models.Model):
    """Why the number on hand changed; rows are only added."""

    class Kind(models.TextChoices):
        COUNTED = "counted", _("counted")
        CAME = "came", _("came")
        NOT_CAME = "not_came", _("not come after all")
        USED = "used", _("used")
        PUT_BACK = "put_back", _("put back")

    part = models.ForeignKey(Part, models.CASCADE, related_name="movements")
    order = models.ForeignKey(
        WorkOrder, models.SET_NULL, null=True, blank=True, related_name="part_movements"
    )
    kind = models.CharField(max_length=10, choices=Kind.choices)
    change = models.DecimalField(max_digits=10, decimal_places=2)
    on_hand_after = models.DecimalField(max_digits=10, decimal_places=2)
    why = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, blank=True, related_name="+")
    by_key = models.CharField(max_length=60, blank=True, default=acting_key_name, editable=False)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["part", "-at", "-id"], name="movements_of_part")]

    def __str__(self) -> str:
        return f"{self.kind} {self.change}"

    @property
    def who(self) -> str:
        """The person or the other system; empty for the site itself."""
        return str(self.by) if self.by else self.by_key
