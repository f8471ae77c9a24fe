"""The rows a report is made of, in a fixed number of queries."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch

from diagnostics.models import (
    Case,
    Complaint,
    Diagnosis,
    Finding,
    Hypothesis,
    Photo,
    Sighting,
    TimedLook,
    WalkDown,
)
from diagnostics.selectors import loop_ribbon
from diagnostics.selectors.evidence import mended_at_of, standing_sightings
from plant.models import Conveyor, Plant

SUSPICIONS = 3


@dataclass(frozen=True)
class CaseRecord:
    """A case without what was taken back or withdrawn; walk-downs with their looks, oldest first.

    `suspected` are the first of the standing diagnosis that nobody has accepted.
    """

    case: Case
    complaints: list[Complaint]
    walk_downs: list[WalkDown]
    timed_looks: list[TimedLook]
    findings: list[Finding]
    photos: list[Photo]
    diagnosis: Diagnosis | None
    accepted: list[Hypothesis]
    suspected: list[Hypothesis]
    mended_at: datetime | None
    drawing: dict[str, Any]

    @property
    def conveyor(self) -> Conveyor:
        return self.case.conveyor

    @property
    def plant(self) -> Plant:
        return self.case.conveyor.plant

    @property
    def answer(self) -> dict[str, Any]:
        return self.diagnosis.answer if self.diagnosis else {}

    @property
    def looks(self) -> list[Sighting]:
        return [look for walk_down in self.walk_downs for look in walk_down.sightings.all()]

    @property
    def recorded_until(self) -> datetime:
        """The latest thing the report tells of: its date, the same whenever it is printed."""
        return max(self._instants())

    def _instants(self) -> Iterator[datetime]:
        case = self.case
        yield case.opened_at
        yield from (one for one in (case.ended_at, case.proved_at, case.cause_found_at) if one)
        yield from (one.received_at for one in self.complaints)
        yield from (one.finished_at or one.started_at for one in self.walk_downs)
        yield from (one.seen_at for one in self.looks)
        yield from (one.started_at for one in self.timed_looks)
        yield from (one.found_at for one in self.findings)
        yield from (one.sent_at for one in self.photos)
        judged = (one.accepted_at or one.refuted_at for one in (*self.accepted, *self.suspected))
        yield from (one for one in judged if one)
        if self.diagnosis:
            yield self.diagnosis.made_at


def record_of(case: Case) -> CaseRecord:
    """`case` comes with its conveyor, plant and the case it repeats."""
    diagnosis = case.diagnoses.filter(superseded_at__isnull=True).first()
    hypotheses = list(case.hypotheses.select_related("judged_by").order_by("rank", "pk"))
    ranked = [one for one in hypotheses if diagnosis and one.diagnosis_id == diagnosis.pk]
    timed = case.timed_looks.filter(taken_back_at__isnull=True).defer("samples", "taps")
    return CaseRecord(
        case=case,
        complaints=list(case.complaints.filter(withdrawn_at__isnull=True)),
        walk_downs=_walk_downs(case),
        timed_looks=list(timed.select_related("made_by").order_by("started_at", "pk")),
        findings=list(case.findings.filter(taken_back_at__isnull=True).select_related("found_by")),
        photos=list(case.photos.standing()),
        diagnosis=diagnosis,
        accepted=[one for one in hypotheses if one.accepted_at],
        suspected=[one for one in ranked if not one.accepted_at][:SUSPICIONS],
        mended_at=mended_at_of(case),
        drawing=loop_ribbon.drawing_of_case(case, standing_sightings(case), diagnosis),
    )


def _walk_downs(case: Case) -> list[WalkDown]:
    standing = Sighting.objects.filter(taken_back_at__isnull=True).order_by("position_m", "pk")
    rows = case.walk_downs.select_related("walked_by").order_by("started_at", "pk")
    return list(rows.prefetch_related(Prefetch("sightings", queryset=standing)))
