"""What changes while a case is walked: looks of everybody, findings, what is suspected."""

import hashlib
from dataclasses import asdict
from datetime import datetime
from typing import Any

from diagnostics.inference.causes import Knowledge
from diagnostics.inference.diagnosis import ENGINE_VERSION, travel_of
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.places import is_possible
from diagnostics.inference.priors import log_priors
from diagnostics.models import Case, Diagnosis, Finding, Photo, Sighting, WalkDown
from diagnostics.selectors import shelf
from diagnostics.selectors.evidence import evidence_of, facts_of, mended_at_of
from diagnostics.selectors.field_notes import notes_for_phone
from diagnostics.selectors.suspicion_so_far import CLASSES_SHOWN
from diagnostics.selectors.walk_route import route_along
from plant.loop.parts import GeometryError
from plant.models import User

# The latest; nobody walks a belt oftener for one case.
_MOST_LOOKS = 500
_MOST_FINDINGS = 100
_MOST_SUSPECTS = 10


def news_of(case: Case, reader: User, now: datetime) -> dict[str, Any]:
    """As JSON takes it; `case` comes with conveyor and plant."""
    made = case.diagnoses.filter(superseded_at__isnull=True).first()
    return {
        "made_at": now.isoformat(),
        "register": register_mark(case),
        "person": {"key": str(reader.pk), "name": str(reader)},
        "case": {
            "state": case.state,
            "state_words": case.get_state_display(),
            "is_open": case.is_open,
        },
        "walk": _walk_of(case, reader),
        "looks": _looks(case, reader),
        "findings": _findings(case),
        "photo_ids": _photo_ids(case),
        "evidence": _evidence(case),
        "notes": notes_for_phone(case.conveyor, route_along(case.conveyor, {})),
        "suspicion": _suspicion(made) if made else None,
        "suspects": _suspects(made) if made else [],
    }


def _photo_ids(case: Case) -> list[str]:
    """Of those that count, so that the phone never counts one of its own twice."""
    rows = Photo.objects.standing().filter(case=case).order_by("pk")
    return [str(one) for one in rows.values_list("client_id", flat=True)]


def register_mark(case: Case) -> str:
    """Another one as soon as the register, the engine or the knowledge is another."""
    try:
        facts = repr(facts_of(case.conveyor))
    except GeometryError as refusal:
        facts = str(refusal)
    knowledge = shelf.knowledge_of(case.conveyor.plant_id)
    whole = f"{facts} {ENGINE_VERSION} {knowledge.version}"
    return hashlib.sha256(whole.encode()).hexdigest()[:16]


def _walk_of(case: Case, reader: User) -> dict[str, Any] | None:
    """The reader's own walk-down that is not finished."""
    row = case.walk_downs.filter(walked_by=reader, finished_at__isnull=True).first()
    return walk_told(row) if row else None


def walk_told(row: WalkDown) -> dict[str, Any]:
    return {
        "id": str(row.client_id),
        "facing": row.facing,
        "load": row.load,
        "is_running_backwards": row.is_running_backwards,
        "stopped_reason": row.stopped_reason,
        "remarks": list(row.remarks),
        "note": row.note,
    }


def _looks(case: Case, reader: User) -> list[dict[str, Any]]:
    rows = Sighting.objects.filter(walk_down__case=case)
    rows = rows.select_related("walk_down", "seen_by", "differs_from")
    mended_at = mended_at_of(case)
    latest = list(rows.order_by("-seen_at", "-pk")[:_MOST_LOOKS])
    return [look_told(row, reader, mended_at) for row in reversed(latest)]


def look_told(row: Sighting, reader: User, mended_at: datetime | None = None) -> dict[str, Any]:
    """One look in the one convention of the record."""
    return {
        "id": str(row.client_id),
        "walk": str(row.walk_down.client_id),
        "station": row.station,
        "run": row.run,
        "position_m": row.position_m,
        "load": row.load,
        "offset_mm": row.offset_mm,
        "degree": row.degree or None,
        "side": row.side or None,
        "persistence": row.persistence or None,
        "is_running_backwards": row.is_running_backwards,
        "not_seen_reason": row.not_seen_reason,
        "note": row.note,
        "seen_at": row.seen_at.isoformat(),
        "by": str(row.seen_by or ""),
        "is_mine": row.seen_by_id == reader.pk,
        "is_taken_back": row.taken_back_at is not None,
        "is_before_mend": mended_at is not None and row.seen_at <= mended_at,
        "differs_from": str(row.differs_from.client_id) if row.differs_from else None,
    }


def _findings(case: Case) -> list[dict[str, Any]]:
    rows = Finding.objects.filter(case=case, taken_back_at__isnull=True)
    return [
        {
            "id": str(row.client_id),
            "cause": row.cause,
            "place": row.place,
            "is_present": row.is_present,
            "note": row.note,
            "by": row.who,
        }
        for row in rows.select_related("found_by").order_by("-found_at", "-pk")[:_MOST_FINDINGS]
    ]


def _evidence(case: Case) -> dict[str, Any]:
    """What the ranking on the phone needs besides the looks."""
    try:
        evidence = evidence_of(case)
    except GeometryError:
        return {"log_priors": {}, "travel": None, "remarks": [], "findings": []}
    travel = travel_of(evidence)
    return {
        "log_priors": _log_priors(evidence, shelf.knowledge_of(case.conveyor.plant_id)),
        "travel": asdict(travel) | {"is_too_short": travel.is_too_short} if travel else None,
        "remarks": sorted(evidence.remarks),
        "findings": [asdict(one) for one in evidence.findings],
    }


def _log_priors(evidence: Evidence, knowledge: Knowledge) -> dict[str, float]:
    possible = (one for one in knowledge.causes.values() if is_possible(one, evidence.conveyor))
    return log_priors(possible, evidence.priors)


def _suspicion(made: Diagnosis) -> dict[str, Any]:
    answer = made.answer
    first = next(iter(answer["ranked"]), None)
    check = next((one for one in answer["next_checks"] if not one["needs_stop"]), None)
    return {
        "classes": [[one["class"], one["probability"]] for one in answer["classes"]][
            :CLASSES_SHOWN
        ],
        "is_sufficient": made.is_sufficient,
        "check": check,
        "first": first and {name: first[name] for name in ("cause", "component", "position_m")},
        "reasons": first["reasons"] if first else [],
        "against": first["against"] if first else [],
        "correction": first["correction"] if first else None,
        "notes": answer.get("notes", []),
    }


def _suspects(made: Diagnosis) -> list[dict[str, Any]]:
    kept = ("cause", "component", "position_m", "probability")
    return [{name: one[name] for name in kept} for one in made.answer["ranked"][:_MOST_SUSPECTS]]
