"""One diagnosis as its page shows it, as it was when it was made."""

from dataclasses import dataclass
from typing import Any

from diagnostics.inference.moved import Moved, Shift, what_moved
from diagnostics.models import Diagnosis, Hypothesis, KnowledgeEdition
from diagnostics.selectors import loop_ribbon, shelf
from diagnostics.selectors.evidence import standing_sightings
from diagnostics.selectors.reranking import shifts_today

_OLDER_SHOWN = 12


@dataclass(frozen=True)
class DiagnosisPage:
    diagnosis: Diagnosis
    hypotheses: list[Hypothesis]
    earlier: Diagnosis | None
    moved: Moved | None
    others: list[Diagnosis]
    drawing: dict[str, Any]
    shifts_today: tuple[Shift, ...]
    # In force at the plant today; none where it goes by the installed files.
    edition_today: KnowledgeEdition | None

    @property
    def is_by_other_edition(self) -> bool:
        today = self.edition_today
        return self.diagnosis.edition_id != (today.pk if today else None)

    @property
    def is_standing(self) -> bool:
        return self.diagnosis.superseded_at is None


def diagnosis_page(diagnosis: Diagnosis) -> DiagnosisPage:
    """`diagnosis` comes with its case, conveyor and plant."""
    case = diagnosis.case
    others = case.diagnoses.exclude(pk=diagnosis.pk)
    before = others.filter(made_at__lte=diagnosis.made_at)
    # Two made in one instant: the one written first is the earlier.
    earlier = before.exclude(made_at=diagnosis.made_at, pk__gt=diagnosis.pk).first()
    return DiagnosisPage(
        diagnosis=diagnosis,
        hypotheses=list(diagnosis.hypotheses.select_related("judged_by")),
        earlier=earlier,
        moved=what_moved(earlier.answer, diagnosis.answer) if earlier else None,
        others=list(others.defer("answer", "likelihoods")[:_OLDER_SHOWN]),
        drawing=loop_ribbon.drawing_of_case(
            case, standing_sightings(case), diagnosis, href_of=loop_ribbon.look_address
        ),
        shifts_today=shifts_today(diagnosis),
        edition_today=shelf.edition_in_force(case.conveyor.plant_id),
    )
