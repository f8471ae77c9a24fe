"""One dated run of the engine over a case's evidence: never edited, only superseded."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class Diagnosis(models.Model):
    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="diagnoses")
    made_at = models.DateTimeField(_("made"))
    superseded_at = models.DateTimeField(null=True, blank=True)
    engine_version = models.CharField(max_length=40)
    knowledge_version = models.CharField(max_length=80)
    # The plant's edition it was made by; none for the installed files.
    edition = models.ForeignKey(
        "diagnostics.KnowledgeEdition", models.RESTRICT, null=True, blank=True, related_name="+"
    )
    pattern = models.CharField(max_length=16)
    is_sufficient = models.BooleanField()
    # The whole answer as the contract states it, so that it can be shown as it was.
    answer = models.JSONField()
    # What the evidence says of every cause, apart from rules and base rates (the latter kept
    # beside it): with it changed rules re-rank an old case without mechanics. Empty for answers
    # made before it was kept.
    likelihoods = models.JSONField(default=dict)
    # Classes with their probabilities, and causes without their places, in the order named: a few
    # words beside the whole answer, so that ten thousand cases are judged without reading those.
    named = models.JSONField(default=dict)
    # Keys of the rows it was made from, by kind, and what those new since the last one moved.
    basis = models.JSONField(default=dict)

    class Meta:
        ordering = ["-made_at", "-pk"]
        verbose_name_plural = "diagnoses"
        constraints = [
            models.UniqueConstraint(
                "case",
                condition=Q(superseded_at__isnull=True),
                name="one_standing_diagnosis_per_case",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id}: {self.pattern}"


class Hypothesis(models.Model):
    """One of a diagnosis's first ranked entries, as a row that a person can accept or refute.

    Also made without a diagnosis, when a person names a cause the engine did not.
    """

    case = models.ForeignKey("diagnostics.Case", models.CASCADE, related_name="hypotheses")
    diagnosis = models.ForeignKey(
        Diagnosis, models.CASCADE, null=True, blank=True, related_name="hypotheses"
    )
    rank = models.PositiveIntegerField(null=True, blank=True)
    cause = models.CharField(_("cause"), max_length=60)
    cause_class = models.CharField(max_length=32)
    zone = models.CharField(max_length=32, blank=True)
    component = models.CharField(max_length=48, blank=True)
    position_m = models.FloatField(null=True, blank=True)
    probability = models.FloatField(null=True, blank=True)
    # The contract's `ranked` entry: side, size, reasons, against, correction; and its `sum`.
    detail = models.JSONField(default=dict)
    accepted_at = models.DateTimeField(null=True, blank=True)
    refuted_at = models.DateTimeField(null=True, blank=True)
    judged_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    judged_why = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["rank", "pk"]
        verbose_name_plural = "hypotheses"
        constraints = [
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True) | Q(refuted_at__isnull=True),
                name="hypothesis_is_accepted_or_refuted",
            ),
            # Two faults at once are two accepted causes; the same one twice is a mistake.
            models.UniqueConstraint(
                fields=["case", "cause", "component"],
                condition=Q(accepted_at__isnull=False),
                name="cause_and_place_accepted_once",
            ),
        ]

    def __str__(self) -> str:
        return self.cause
