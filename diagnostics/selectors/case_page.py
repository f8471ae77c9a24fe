"""Everything the page of one case shows, in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q

from diagnostics.case_states import CaseState
from diagnostics.models import (
    Case,
    CaseMove,
    Complaint,
    Diagnosis,
    Finding,
    Hypothesis,
    TimedLook,
    WalkDown,
)
from diagnostics.next_step import Standing, Step, next_step
from diagnostics.selectors import complaint_desk, loop_ribbon, recurring
from diagnostics.selectors.evidence import mended_at_of, standing_sightings
from plant.models import User

FIRST_HYPOTHESES = 3
TIMED_LOOKS_SHOWN = 5
_STANDING = Q(sightings__taken_back_at__isnull=True)


@dataclass(frozen=True)
class CasePage:
    case: Case
    complaints: list[Complaint]
    walk_downs: Sequence[WalkDown]
    timed_looks: list[TimedLook]
    more_timed_looks: bool
    findings: list[Finding]
    moves: list[CaseMove]
    diagnosis: Diagnosis | None
    hypotheses: list[Hypothesis]
    accepted: list[Hypothesis]
    lately_proved: list[Case]
    repeats: list[Case]
    came_back_at_same_place: bool | None
    drawing: dict[str, Any]
    step: Step
    my_walk_down: WalkDown | None

    @property
    def has_evidence(self) -> bool:
        """Something to compute from: a walk-down, a timed look or a close look."""
        return bool(self.walk_downs or self.timed_looks or self.findings)

    @property
    def lost_money(self) -> Decimal | None:
        """What the lost hours cost, where the register says what an hour down costs."""
        hours, an_hour = self.case.lost_hours, self.case.conveyor.hour_costs
        return None if hours is None or an_hour is None else hours * an_hour

    @property
    def first(self) -> list[Hypothesis]:
        """Suspicions that nobody has accepted yet: an accepted one stands above them."""
        return [one for one in self.hypotheses if not one.accepted_at][:FIRST_HYPOTHESES]


def case_page(case: Case, reader: User, now: datetime) -> CasePage:
    """`case` comes with its conveyor, plant and the case it repeats."""
    walk_downs = _walk_downs(case)
    mine = next(
        (one for one in walk_downs if one.walked_by_id == reader.pk and not one.finished_at), None
    )
    sightings = standing_sightings(case)
    timed_looks = _timed_looks(case)
    mended_at = mended_at_of(case)
    diagnosis = case.diagnoses.filter(superseded_at__isnull=True).first()
    hypotheses = _hypotheses(case, diagnosis)
    standing = Standing(
        state=CaseState(case.state),
        is_walking=mine is not None,
        # Looks of before a mend that did not hold show the belt as it was.
        has_looks=any(mended_at is None or one.seen_at > mended_at for one in sightings),
        has_diagnosis=diagnosis is not None,
        is_sufficient=diagnosis is not None and diagnosis.is_sufficient,
    )
    return CasePage(
        case=case,
        complaints=list(case.complaints.select_related("received_by")),
        walk_downs=walk_downs,
        timed_looks=timed_looks[:TIMED_LOOKS_SHOWN],
        more_timed_looks=len(timed_looks) > TIMED_LOOKS_SHOWN,
        findings=list(case.findings.select_related("found_by")),
        moves=list(case.moves.select_related("by")),
        diagnosis=diagnosis,
        hypotheses=[one for one in hypotheses if diagnosis and one.diagnosis_id == diagnosis.pk],
        accepted=[one for one in hypotheses if one.accepted_at],
        lately_proved=[] if case.cause else _lately_proved(case, now),
        repeats=list(case.repeats.all()),
        came_back_at_same_place=recurring.is_same_place(case),
        drawing=loop_ribbon.drawing_of_case(
            case, sightings, diagnosis, href_of=loop_ribbon.look_address
        ),
        step=next_step(standing),
        my_walk_down=mine,
    )


def _walk_downs(case: Case) -> list[WalkDown]:
    rows = case.walk_downs.select_related("walked_by")
    return list(rows.annotate(looks=Count("sightings", filter=_STANDING)))


def _timed_looks(case: Case) -> list[TimedLook]:
    """The latest, and one more so that the page knows whether there are others."""
    rows = TimedLook.objects.filter(case=case).select_related("made_by").defer("samples", "taps")
    return list(rows[: TIMED_LOOKS_SHOWN + 1])


def _hypotheses(case: Case, diagnosis: Diagnosis | None) -> list[Hypothesis]:
    """Those of the standing diagnosis, and whatever is accepted."""
    rows = case.hypotheses.filter(Q(diagnosis=diagnosis) | Q(accepted_at__isnull=False))
    return list(rows.select_related("judged_by").order_by("rank", "pk"))


def _lately_proved(case: Case, now: datetime) -> list[Case]:
    return [one for one in complaint_desk.lately_proved_on(case.conveyor, now) if one.pk != case.pk]
