"""One problem on one conveyor, from the first complaint to the proof."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.case_states import OPEN_STATES, CaseState
from plant.loop.vocabulary import Zone
from plant.models.acting_key import acting_key_name


class CaseQuerySet(models.QuerySet["Case"]):
    def open(self) -> "CaseQuerySet":
        return self.filter(state__in=[state.value for state in OPEN_STATES])

    def owing_diagnosis(self) -> "CaseQuerySet":
        return self.filter(diagnosis_owed_at__isnull=False)


class Case(models.Model):
    conveyor = models.ForeignKey("plant.Conveyor", models.PROTECT, related_name="cases")
    number = models.CharField(_("number"), max_length=24, unique=True, editable=False)
    state = models.CharField(
        _("state"),
        max_length=16,
        choices=[(state.value, _(state.value)) for state in CaseState],
        default=CaseState.OPEN.value,
    )
    summary = models.CharField(_("in short"), max_length=200)
    opened_at = models.DateTimeField(_("opened"))
    ended_at = models.DateTimeField(_("ended"), null=True, blank=True)
    # What a person confirmed; copied here so that trends ask one row a case.
    cause = models.CharField(_("cause"), max_length=60, blank=True)
    cause_class = models.CharField(_("cause family"), max_length=32, blank=True)
    zone = models.CharField(
        _("zone"), max_length=32, blank=True, choices=[(zone.value, _(zone.value)) for zone in Zone]
    )
    position_m = models.FloatField(_("loop position"), null=True, blank=True)
    cause_found_at = models.DateTimeField(null=True, blank=True)
    proved_at = models.DateTimeField(_("proof passed"), null=True, blank=True)
    repeat_of = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="repeats"
    )
    lost_hours = models.DecimalField(
        _("lost hours"), max_digits=8, decimal_places=2, null=True, blank=True
    )
    # Owed work stands here; a task or the sweep does it and clears it.
    diagnosis_owed_at = models.DateTimeField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField(auto_now=True)

    objects = CaseQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        permissions = [("confirm_cause", "May confirm or refute a cause")]
        indexes = [
            models.Index(fields=["conveyor", "-opened_at"], name="case_by_conveyor"),
            models.Index(fields=["changed_at"], name="case_by_change"),
            models.Index(
                fields=["diagnosis_owed_at"],
                name="case_owing_diagnosis",
                condition=Q(diagnosis_owed_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.summary}"

    @property
    def is_open(self) -> bool:
        return CaseState(self.state) in OPEN_STATES

    @property
    def asks_lost_hours(self) -> bool:
        """The mend is done, so that somebody knows what the fault cost, and nobody has said."""
        is_mended = self.state in (CaseState.ON_PROOF.value, CaseState.CLOSED.value)
        return is_mended and self.lost_hours is None


class CaseMove(models.Model):
    """Who moved a case between states, when and why."""

    case = models.ForeignKey(Case, models.CASCADE, related_name="moves")
    from_state = models.CharField(max_length=16, blank=True)
    to_state = models.CharField(max_length=16)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")
    # Name of the system that moved it, where no person stands behind it.
    by_key = models.CharField(max_length=60, blank=True, editable=False, default=acting_key_name)
    why = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.from_state} to {self.to_state}"

    @property
    def who(self) -> str:
        """The person or system that moved it; empty for the site itself."""
        return str(self.by) if self.by else self.by_key
