"""What connected systems can have words for in complaints and cases."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Count
from django.utils.translation import gettext_lazy as _

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from diagnostics.selectors import shelf
from plant import wording_shelf
from plant.models import Plant
from plant.wording.shape import Shape
from plant.wording_shelf import Kind, Vocabulary, Word

# What a suspicion is called as it stands is another word than the case's own.
_HYPOTHESIS = Shape(words={"cause": "cause", "zone": "zone"})
_CASE = Shape(
    words={
        "state": "case_state",
        "from_state": "case_state",
        "to_state": "case_state",
        "cause": "cause",
        "causes": "cause",
        "zone": "zone",
    },
    within={"hypotheses": _HYPOTHESIS},
    marks=frozenset({"number", "plant", "version"}),
)
_COMPLAINT = Shape(
    words={
        "how_bad": "how_bad",
        "people_near": "people_near",
        "roughly_where": "zone",
        # Lists are narrowed by those of the case.
        "state": "case_state",
        "cause": "cause",
    },
    within={"case": Shape(words={"state": "case_state"})},
    marks=frozenset({"id", "plant", "version"}),
)


def register() -> None:
    """Called when the app is ready."""
    states = [Word(state.replace(" ", "_"), _(state.value)) for state in CaseState]
    how_bad = wording_shelf.words_of(dict(Complaint.HowBad.choices))
    near = wording_shelf.words_of(dict(Complaint.PeopleNear.choices))
    for vocabulary in (
        Vocabulary("case_state", 30, _("State of a case"), lambda _plant: states),
        Vocabulary("how_bad", 40, _("How bad a complaint is"), lambda _plant: how_bad),
        Vocabulary("people_near", 45, _("Who could be hurt"), lambda _plant: near),
        Vocabulary("cause", 50, _("Cause"), _causes),
    ):
        wording_shelf.register_vocabulary(vocabulary)
    wording_shelf.register_kind(
        Kind(
            "complaint",
            20,
            _("Complaints"),
            "complaints",
            _COMPLAINT,
            fields=_complaint_fields,
            newest=_newest_complaints,
            conveyors_since=_complaints_since,
        )
    )
    wording_shelf.register_kind(
        Kind(
            "case",
            30,
            _("Cases"),
            "cases",
            _CASE,
            fields=_case_fields,
            newest=_newest_cases,
            conveyors_since=_cases_since,
        )
    )


def _causes(plant: Plant) -> list[Word]:
    causes = shelf.knowledge_of(plant.pk).causes
    return [Word(slug, cause.name) for slug, cause in causes.items()]


def _complaint_fields() -> list[str]:
    from diagnostics.api.serializers import ComplaintDetail

    return list(ComplaintDetail().fields)


def _case_fields() -> list[str]:
    from diagnostics.api.case_serializers import CaseRecord

    return list(CaseRecord().fields)


def _newest_complaints(plant: Plant, most: int) -> list[dict[str, Any]]:
    # Serializers are looked up when they are needed: they ask the apps for their models.
    from diagnostics.api.serializers import ComplaintDetail

    rows = Complaint.objects.filter(plant=plant).select_related("plant", "conveyor", "case")
    newest = rows.order_by("-received_at", "-pk")[:most]
    return [dict(ComplaintDetail(one).data) for one in newest]


def _newest_cases(plant: Plant, most: int) -> list[dict[str, Any]]:
    from diagnostics.api.case_serializers import CaseRecord

    rows = Case.objects.filter(conveyor__plant=plant)
    rows = rows.select_related("conveyor__plant", "repeat_of").order_by("-opened_at", "-pk")
    return [dict(CaseRecord(one).data) for one in rows[:most]]


def _complaints_since(plant: Plant, since: datetime) -> Mapping[str, int]:
    rows = Complaint.objects.filter(plant=plant, received_at__gte=since, conveyor__isnull=False)
    return dict(rows.order_by().values_list("conveyor__tag").annotate(Count("pk")))


def _cases_since(plant: Plant, since: datetime) -> Mapping[str, int]:
    rows = Case.objects.filter(conveyor__plant=plant, opened_at__gte=since)
    return dict(rows.order_by().values_list("conveyor__tag").annotate(Count("pk")))
