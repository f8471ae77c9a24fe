"""One case on the wire as its page shows it: what is suspected and why, what was looked at."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from diagnostics.api.case_moves import MOVED, CaseMoveDetail
from diagnostics.api.case_serializers import CASE, CaseRecord
from diagnostics.api.finding_serializers import KEPT_FINDING, FindingDetail
from diagnostics.inference.vocabulary import Pattern
from diagnostics.models import Case, Diagnosis, Hypothesis
from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.loop.vocabulary import Run, Side, Zone

SUSPECTED, ACCEPTED, REFUTED = "suspected", "accepted", "refuted"

_HYPOTHESIS: dict[str, Any] = {
    "id": 2214,
    "rank": 1,
    "state": ACCEPTED,
    "cause": "return_idler_skewed",
    "cause_class": "return_idler",
    "probability": 0.71,
    "zone": "return_run_after_the_take_up",
    "component": "R2-13",
    "loop_position_m": 628.8,
    "loop_position_lower_m": 619.8,
    "loop_position_upper_m": 637.8,
    "belt_position_m": None,
    "side": "left",
    "side_words": "sea side",
    "bows_to": None,
    "size": 6.0,
    "size_unit": "mm",
    "reasons": ["The belt leaves the centre line from R2-13 on, empty and loaded."],
    "against": [],
    "correction": {
        "what": "return idler",
        "where": "R2-9 to R2-13",
        "move_mm": 2.0,
        "direction": "advance the end on the left (sea side) toward the tail",
        "wait_revolutions": 3,
        "look_for": "the belt comes back to the centre line at R2-17",
    },
    "judged_at": "2026-11-17T19:42:10.512000Z",
    "judged_by": "Tam Verity",
    "judged_why": None,
}
_DIAGNOSIS: dict[str, Any] = {
    "made_at": "2026-11-17T18:40:02.004000Z",
    "pattern": "fixed",
    "is_sufficient": True,
    "knowledge_version": "2026.11",
    "onset": {"station": "R2-13", "run": "return", "loop_position_m": 628.8},
    "cause_classes": [
        {"cause_class": "return_idler", "probability": 0.78},
        {"cause_class": "take_up", "probability": 0.22},
    ],
    "pairs": [],
    "next_checks": [
        {
            "what": "Square of the return idlers to the stringers",
            "where": "R2-9 to R2-17",
            "minutes": 20.0,
            "needs_stop": True,
            "information": 0.31,
        }
    ],
    "cautions": ["Never reach to a moving belt, roll or pulley, with hand or tool."],
    "notes": [],
}
_DETAIL: dict[str, Any] = {
    **CASE,
    "diagnosis": _DIAGNOSIS,
    "hypotheses": [_HYPOTHESIS],
    "findings": [KEPT_FINDING],
    "complaints": [318],
    "moves": [MOVED],
}


class Correction(serializers.Serializer[Any]):
    """What to shift first, by how much, which way; then look again."""

    what = serializers.CharField()
    where = serializers.CharField()
    move_mm = serializers.FloatField(allow_null=True)
    direction = serializers.CharField()
    wait_revolutions = serializers.IntegerField()
    look_for = serializers.CharField()


class HypothesisDetail(serializers.ModelSerializer[Hypothesis]):
    """A cause at a place. Loop positions are metres, sizes as `size_unit` says."""

    state = serializers.SerializerMethodField()
    zone = WireWord(Zone, allow_null=True)
    component = TextOrNull()
    loop_position_m = serializers.FloatField(source="position_m", allow_null=True)
    loop_position_lower_m = serializers.FloatField(
        source="detail.position_lower_m", allow_null=True
    )
    loop_position_upper_m = serializers.FloatField(
        source="detail.position_upper_m", allow_null=True
    )
    belt_position_m = serializers.FloatField(source="detail.belt_position_m", allow_null=True)
    side = WireWord(
        Side, source="detail.side", allow_null=True, help_text="To which the belt is driven there."
    )
    side_words = serializers.SerializerMethodField()
    bows_to = WireWord(Side, source="detail.bows_to", allow_null=True)
    size = serializers.FloatField(source="detail.size", allow_null=True)
    size_unit = TextOrNull(source="detail.size_unit")
    reasons = serializers.ListField(
        child=serializers.CharField(), source="detail.reasons", default=list
    )
    against = serializers.ListField(
        child=serializers.CharField(), source="detail.against", default=list
    )
    correction = Correction(source="detail.correction", allow_null=True)
    judged_at = serializers.SerializerMethodField()
    judged_by = serializers.SerializerMethodField()
    judged_why = TextOrNull()

    class Meta:
        model = Hypothesis
        fields = list(_HYPOTHESIS)
        read_only_fields = fields

    @extend_schema_field(serializers.ChoiceField(choices=[SUSPECTED, ACCEPTED, REFUTED]))
    def get_state(self, one: Hypothesis) -> str:
        if one.accepted_at:
            return ACCEPTED
        return REFUTED if one.refuted_at else SUSPECTED

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_side_words(self, one: Hypothesis) -> str | None:
        side = one.detail.get("side")
        return (self.context["conveyor"].words_for(side) or None) if side else None

    @extend_schema_field(UtcTime(allow_null=True))
    def get_judged_at(self, one: Hypothesis) -> str | None:
        at = one.accepted_at or one.refuted_at
        return UtcTime().to_representation(at) if at else None

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_judged_by(self, one: Hypothesis) -> str | None:
        return str(one.judged_by) if one.judged_by else None


class Onset(serializers.Serializer[Any]):
    """Where the belt leaves the centre line."""

    station = serializers.CharField()
    run = WireWord(Run)
    loop_position_m = serializers.FloatField(source="position_m")


class ClassShare(serializers.Serializer[Any]):
    cause_class = serializers.CharField(source="class")
    probability = serializers.FloatField()


class CausePair(serializers.Serializer[Any]):
    causes = serializers.ListField(child=serializers.CharField())
    probability = serializers.FloatField()


class NextCheck(serializers.Serializer[Any]):
    what = serializers.CharField()
    where = serializers.CharField(allow_null=True)
    minutes = serializers.FloatField(allow_null=True)
    needs_stop = serializers.BooleanField(
        help_text="Whether the belt must be stopped and locked out."
    )
    information = serializers.FloatField(allow_null=True)


class DiagnosisDetail(serializers.ModelSerializer[Diagnosis]):
    """A suggestion of the engine; a person confirms the cause."""

    made_at = UtcTime()
    pattern = WireWord(Pattern)
    is_sufficient = serializers.BooleanField(
        help_text="False: what was seen does not support an answer; `next_checks` would."
    )
    onset = Onset(source="answer.onset", allow_null=True)
    cause_classes = ClassShare(source="answer.classes", many=True)
    pairs = CausePair(
        source="answer.pairs", many=True, help_text="Two causes at once, where one is not enough."
    )
    next_checks = NextCheck(source="answer.next_checks", many=True)
    cautions = serializers.ListField(child=serializers.CharField(), source="answer.cautions")
    notes = serializers.ListField(child=serializers.CharField(), source="answer.notes")

    class Meta:
        model = Diagnosis
        fields = list(_DIAGNOSIS)
        read_only_fields = fields


@extend_schema_serializer(
    examples=[OpenApiExample("A case in full", value=_DETAIL, response_only=True)]
)
class CaseDetail(CaseRecord):
    diagnosis = serializers.SerializerMethodField()
    hypotheses = serializers.SerializerMethodField()
    findings = FindingDetail(many=True)
    complaints: Any = serializers.PrimaryKeyRelatedField(many=True, read_only=True)
    moves = CaseMoveDetail(many=True)

    class Meta:
        model = Case
        fields = list(_DETAIL)
        read_only_fields = fields

    @extend_schema_field(DiagnosisDetail(allow_null=True))
    def get_diagnosis(self, case: Case) -> dict[str, Any] | None:
        """The standing one; null before anything was looked at."""
        standing = next(iter(case.diagnoses.all()), None)
        return DiagnosisDetail(standing).data if standing else None

    @extend_schema_field(HypothesisDetail(many=True))
    def get_hypotheses(self, case: Case) -> Any:
        """Those of the standing diagnosis in the order of probability, and what is accepted."""
        context = {"conveyor": case.conveyor}
        return HypothesisDetail(case.hypotheses.all(), many=True, context=context).data
