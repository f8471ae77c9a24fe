"""A draft of the knowledge tried on the plant's confirmed cases, and the cases that tell it apart.

A trial is asked for by a row that says what is owed; whoever works at it says how far it is.
"""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class KnowledgeTrialQuerySet(models.QuerySet["KnowledgeTrial"]):
    def owed(self) -> "KnowledgeTrialQuerySet":
        return self.filter(state=KnowledgeTrial.State.TO_TRY)


class KnowledgeTrial(models.Model):
    class State(models.TextChoices):
        TO_TRY = "to try", _("being tried")
        TRIED = "tried", _("tried")
        STOPPED = "stopped", _("stopped")
        REFUSED = "refused", _("not tried")

    edition = models.ForeignKey(
        "diagnostics.KnowledgeEdition", models.CASCADE, related_name="trials"
    )
    # What was tried and against what, as both stood when the work was begun; none in force is
    # the installed files.
    digest = models.CharField(max_length=64, blank=True)
    against = models.ForeignKey(
        "diagnostics.KnowledgeEdition", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    against_digest = models.CharField(max_length=64, blank=True)
    asked_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    asked_at = models.DateTimeField(_("asked for"))
    state = models.CharField(
        _("state"), max_length=8, choices=State.choices, default=State.TO_TRY.value
    )
    # Whoever works at it says so now and then; silence means that the worker is gone.
    worked_at = models.DateTimeField(null=True, blank=True)
    times_begun = models.PositiveSmallIntegerField(default=0)
    cases_done = models.PositiveIntegerField(default=0)
    cases_all = models.PositiveIntegerField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(_("ended"), null=True, blank=True)
    # Scores of both, as they write themselves; {} until it was tried.
    result = models.JSONField(default=dict, blank=True)
    refusal = models.CharField(max_length=20, blank=True)

    objects: ClassVar = KnowledgeTrialQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        indexes = [
            models.Index(fields=["edition", "-asked_at"], name="trial_by_edition"),
        ]
        constraints = [
            # Asking twice asks once; it is also the index of what is owed.
            models.UniqueConstraint(
                "edition", condition=Q(state="to try"), name="one_owed_trial_per_edition"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.edition_id}: {self.state}"

    @property
    def is_owed(self) -> bool:
        return self.state == self.State.TO_TRY

    @property
    def is_tried(self) -> bool:
        return self.state == self.State.TRIED


class TriedCase(models.Model):
    """A case of a trial that a person should look at; all others said the same by both."""

    class Outcome(models.TextChoices):
        LOST_FIRST = "lost first", _("right first, now wrong")
        LOST_AMONG = "lost among", _("dropped out of the first three")
        GAINED_FIRST = "gained first", _("wrong, now right first")
        GAINED_AMONG = "gained among", _("came among the first three")
        LEFT_OUT = "left out", _("could not be tried")

    trial = models.ForeignKey(KnowledgeTrial, models.CASCADE, related_name="cases")
    place = models.PositiveIntegerField()
    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="+")
    outcome = models.CharField(max_length=12, choices=Outcome.choices)
    # The accepted causes, and what each version named; of a case left out whether it has a
    # diagnosis at all.
    told = models.JSONField(default=dict)

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint("trial", "place", name="one_tried_case_per_place"),
        ]
        indexes = [
            models.Index(fields=["trial", "outcome", "place"], name="tried_by_outcome"),
        ]

    def __str__(self) -> str:
        return f"{self.case_id}: {self.outcome}"
