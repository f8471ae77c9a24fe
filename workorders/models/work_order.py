"""The work: what to do, where, how soon, by which steps."""

from django.contrib.postgres.fields import ArrayField
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import Side, Zone
from plant.models.acting_key import acting_key_name
from workorders.order_origins import Origin
from workorders.order_states import OPEN_STATES, OrderState
from workorders.order_words import ORIGIN_WORDS, STATE_WORDS, URGENCY_WORDS, WAITING_WORDS
from workorders.urgency import Urgency

_OPEN = sorted(state.value for state in OPEN_STATES)


class WorkOrderQuerySet(models.QuerySet["WorkOrder"]):
    def open(self) -> "WorkOrderQuerySet":
        return self.filter(state__in=_OPEN)


class WorkOrder(models.Model):
    conveyor = models.ForeignKey("plant.Conveyor", models.PROTECT, related_name="work_orders")
    # Both empty for work that no case asked for.
    case = models.ForeignKey(
        "diagnostics.Case", models.PROTECT, null=True, blank=True, related_name="work_orders"
    )
    hypothesis = models.ForeignKey(
        "diagnostics.Hypothesis", models.PROTECT, null=True, blank=True, related_name="work_orders"
    )
    # What a close look found there, where it was raised for that.
    finding = models.ForeignKey(
        "diagnostics.Finding", models.SET_NULL, null=True, blank=True, related_name="work_orders"
    )
    origin = models.CharField(
        _("raised for"),
        max_length=12,
        choices=[(origin.value, words) for origin, words in ORIGIN_WORDS.items()],
        default=Origin.HAND.value,
    )
    number = models.CharField(_("number"), max_length=24, unique=True, editable=False)
    title = models.CharField(_("title"), max_length=200)
    state = models.CharField(
        _("state"),
        max_length=12,
        choices=[(state.value, words) for state, words in STATE_WORDS.items()],
        default=OrderState.PROPOSED.value,
    )
    urgency = models.CharField(
        _("urgency"),
        max_length=12,
        choices=[(urgency.value, words) for urgency, words in URGENCY_WORDS.items()],
        default=Urgency.NEXT_OUTAGE.value,
    )
    urgency_reasons = ArrayField(models.TextField(), default=list, blank=True)
    # Filled when a person set another urgency than the reasons gave.
    urgency_why = models.CharField(_("why this urgency"), max_length=400, blank=True)
    cause = models.CharField(_("cause"), max_length=60, blank=True)
    work_method = models.CharField(_("work method"), max_length=60, blank=True)
    zone = models.CharField(
        _("zone"), max_length=32, blank=True, choices=[(zone.value, _(zone.value)) for zone in Zone]
    )
    component = models.CharField(_("component"), max_length=48, blank=True)
    position_m = models.FloatField(
        _("loop position"), null=True, blank=True, validators=[MinValueValidator(0)]
    )
    belt_position_m = models.FloatField(
        _("belt position"), null=True, blank=True, validators=[MinValueValidator(0)]
    )
    side = models.CharField(
        _("side the belt is driven to"),
        max_length=5,
        blank=True,
        choices=[(side.value, _(side.value)) for side in Side],
    )
    # What to shift, where, how far, which way; as the diagnosis stated it.
    correction = models.JSONField(null=True, blank=True)
    tools = ArrayField(models.TextField(), default=list, blank=True)
    parts = ArrayField(models.TextField(), default=list, blank=True)
    cautions = ArrayField(models.TextField(), default=list, blank=True)
    needs_isolation = models.BooleanField(_("needs isolation"), default=True)
    hours = models.DecimalField(
        _("hours"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    people = models.PositiveSmallIntegerField(
        _("people at a time"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(99)],
    )
    proof = models.TextField(_("what to look at after"), blank=True)
    due_on = models.DateField(_("due"), null=True, blank=True)
    planned_for = models.DateTimeField(_("planned for"), null=True, blank=True)
    planned_until = models.DateTimeField(_("planned until"), null=True, blank=True)
    # Where it stands on the outage sheet; work that needs no outage has a crew and no window.
    window = models.ForeignKey(
        "workorders.OutageWindow", models.PROTECT, null=True, blank=True, related_name="orders"
    )
    crew = models.ForeignKey(
        "workorders.Crew", models.PROTECT, null=True, blank=True, related_name="orders"
    )
    # Proposals leave it where the planner put it.
    is_pinned = models.BooleanField(_("pinned"), default=False)
    earliest_on = models.DateField(_("not before"), null=True, blank=True)
    # Its work goes on in another order; this one was cancelled with it.
    merged_into = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="merged_from"
    )
    split_from = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="split_into"
    )
    waiting_for = models.CharField(
        _("waiting for"),
        max_length=8,
        blank=True,
        choices=[(waiting.value, words) for waiting, words in WAITING_WORDS.items()],
    )
    waiting_why = models.CharField(_("why waiting"), max_length=400, blank=True)
    external_number = models.CharField(_("number in the other system"), max_length=80, blank=True)
    raised_at = models.DateTimeField(_("raised"))
    raised_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    raised_by_key = models.CharField(
        max_length=60, blank=True, default=acting_key_name, editable=False
    )
    ended_at = models.DateTimeField(_("ended"), null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField(auto_now=True)

    objects = WorkOrderQuerySet.as_manager()

    class Meta:
        ordering = ["-raised_at", "-pk"]
        permissions = [
            ("plan_workorder", "May approve, decline, schedule and cancel work orders"),
            ("do_workorder", "May take work orders in hand and report them done"),
            ("prove_workorder", "May record a proof run"),
        ]
        constraints = [
            models.UniqueConstraint(
                "hypothesis",
                condition=Q(state__in=_OPEN),
                name="one_open_order_per_hypothesis",
            ),
            models.UniqueConstraint(
                "finding", condition=Q(state__in=_OPEN), name="one_open_order_per_finding"
            ),
            models.UniqueConstraint(
                "case",
                condition=Q(state__in=_OPEN, origin=Origin.RULE.value),
                name="one_open_order_by_rule_per_case",
            ),
            models.CheckConstraint(
                condition=(Q(waiting_for="") & Q(waiting_why=""))
                | (Q(waiting_for__gt="") & Q(waiting_why__gt="")),
                name="waiting_order_says_why",
            ),
            models.CheckConstraint(
                condition=~Q(state=OrderState.SCHEDULED.value) | Q(planned_for__isnull=False),
                name="scheduled_order_says_when",
            ),
            models.CheckConstraint(
                condition=Q(planned_for__isnull=False)
                | Q(planned_until__isnull=True, window__isnull=True, crew__isnull=True),
                name="placed_order_says_when",
            ),
            models.CheckConstraint(
                condition=Q(planned_until__isnull=True) | Q(planned_until__gt=F("planned_for")),
                name="order_ends_after_it_begins",
            ),
            models.CheckConstraint(
                condition=Q(hypothesis__isnull=True) | Q(case__isnull=False),
                name="order_for_a_cause_names_its_case",
            ),
        ]
        indexes = [
            models.Index(fields=["conveyor", "-raised_at"], name="order_by_conveyor"),
            models.Index(fields=["state", "-raised_at"], name="order_by_state"),
            models.Index(fields=["-raised_at", "-id"], name="order_newest_first"),
            models.Index(fields=["changed_at"], name="order_by_change"),
            # For lists narrowed to what few orders have, at any depth.
            models.Index(fields=["urgency", "-raised_at", "-id"], name="order_by_urgency"),
            models.Index(fields=["cause", "-raised_at", "-id"], name="order_by_cause"),
            models.Index(fields=["zone", "-raised_at", "-id"], name="order_by_zone"),
            models.Index(
                fields=["waiting_for", "-raised_at", "-id"],
                name="order_by_waiting",
                condition=Q(waiting_for__gt=""),
            ),
            models.Index(
                fields=["external_number"],
                name="order_by_external_number",
                condition=Q(external_number__gt=""),
            ),
            models.Index(
                fields=["planned_for"],
                name="order_by_planned_time",
                condition=Q(planned_for__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"

    @property
    def is_open(self) -> bool:
        return OrderState(self.state) in OPEN_STATES

    @property
    def raiser(self) -> str:
        """The person or the other system; empty for the site itself."""
        return str(self.raised_by) if self.raised_by else self.raised_by_key


class WorkStep(models.Model):
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="steps")
    place = models.PositiveIntegerField()
    what = models.TextField()
    hours = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    skill = models.CharField(max_length=60, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # The order it was copied from when that one was merged into this one.
    came_from = models.ForeignKey(
        WorkOrder, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["order", "place"], name="one_step_per_place"),
        ]

    def __str__(self) -> str:
        return f"{self.place}. {self.what[:60]}"
