"""Running one trial to its end: tried, stopped, or refused with the reason."""

import logging
from collections.abc import Iterable, Iterator
from typing import Any

from django.db import transaction
from django.utils import timezone

from diagnostics import knowledge_files
from diagnostics.inference.trial import Flip, Told, Trial, try_knowledge
from diagnostics.knowledge_digest import digest_of
from diagnostics.knowledge_schema import KnowledgeError
from diagnostics.models import Case, KnowledgeEdition, KnowledgeTrial, TriedCase
from diagnostics.selectors import base_rates, confirmed, shelf
from plant.services.claiming import Heartbeat

logger = logging.getLogger(__name__)

State = KnowledgeTrial.State
Outcome = TriedCase.Outcome
# What a person is told first stands first.
_ORDER = (Outcome.LOST_FIRST, Outcome.LOST_AMONG, Outcome.GAINED_FIRST, Outcome.GAINED_AMONG)
_ROWS_AT_ONCE = 1000


class _Stopped(Exception):
    """Somebody pressed stop, or another worker has ended it."""


def run(one: KnowledgeTrial) -> None:
    """Try the draft of one trial, whatever it holds; the trial is owed no longer then."""
    try:
        _run(one)
    except _Stopped:
        _end(one, state=State.STOPPED)
    except KnowledgeError:
        refuse(one, "unreadable")
    except Exception:
        # Owed for ever it would be tried for ever; it can be asked for again.
        logger.exception("Trying the draft of trial %s failed.", one.pk)
        refuse(one, "failed")


def refuse(one: KnowledgeTrial, code: str) -> None:
    _end(one, state=State.REFUSED, refusal=code)


def _run(one: KnowledgeTrial) -> None:
    draft = KnowledgeEdition.objects.get(pk=one.edition_id)
    if not draft.is_draft:
        refuse(one, "no_draft")
        return
    plant_id = draft.plant_id
    standing = shelf.in_force(plant_id)
    cases = Case.objects.filter(conveyor__plant=plant_id)
    left_out = list(confirmed.without_evidence(cases).values_list("pk", "stood"))
    one.digest, one.against_id = draft.digest, standing.edition_id
    one.against_digest = _digest_in_force(standing.edition_id)
    one.cases_all = base_rates.confirmed_in(cases).count() - len(left_out)
    one.save(update_fields=["digest", "against", "against_digest", "cases_all"])
    found = try_knowledge(
        confirmed.confirmed_cases(cases),
        counts=base_rates.plant_counts(plant_id),
        before=standing.knowledge,
        after=shelf.library_in(draft).knowledge,
        weights=base_rates.weights_of(plant_id),
        tick=Progress(one.pk),
    )
    if not found.is_whole:
        raise _Stopped
    _keep(one, found, left_out)


def _digest_in_force(edition_id: int | None) -> str:
    if edition_id is None:
        return digest_of(knowledge_files.documents())
    return KnowledgeEdition.objects.values_list("digest", flat=True).get(pk=edition_id)


class Progress:
    """Says how many cases are done, and hears whether the trial is still wanted."""

    def __init__(self, trial_id: int) -> None:
        self._beat = Heartbeat(KnowledgeTrial.objects.owed().filter(pk=trial_id))

    def __call__(self, done: int) -> bool:
        return self._beat(cases_done=done)


@transaction.atomic
def _keep(one: KnowledgeTrial, found: Trial, left_out: list[tuple[int, int | None]]) -> None:
    # Of two workers, one of them thought dead, the first to come here keeps what it found.
    stands = KnowledgeTrial.objects.owed().select_for_update().filter(pk=one.pk).first()
    if stands is None:
        return
    if stands.stop_asked_at is not None:
        raise _Stopped
    rows = [*_flipped(found.flips), *_not_tried(left_out)]
    for start in range(0, len(rows), _ROWS_AT_ONCE):
        TriedCase.objects.bulk_create(
            TriedCase(trial=one, place=place, case_id=case_id, outcome=outcome, told=told)
            for place, (case_id, outcome, told) in enumerate(
                rows[start : start + _ROWS_AT_ONCE], start=start
            )
        )
    _end(one, state=State.TRIED, result=_result(found, len(left_out)), cases_done=found.cases)


_Row = tuple[int, Outcome, dict[str, Any]]


def _flipped(flips: Iterable[Flip]) -> Iterator[_Row]:
    """Right to wrong first; within that in the order the cases were opened."""
    for flip in sorted(flips, key=lambda one: _ORDER.index(_outcome(one))):
        told = {
            "truth": list(flip.truth),
            "before": _as_json(flip.before),
            "after": _as_json(flip.after),
        }
        yield flip.key, _outcome(flip), told


def _not_tried(left_out: Iterable[tuple[int, int | None]]) -> Iterator[_Row]:
    for case_id, diagnosis_id in left_out:
        yield case_id, Outcome.LEFT_OUT, {"is_diagnosed": diagnosis_id is not None}


def _outcome(flip: Flip) -> Outcome:
    # Whether it is named first matters more than whether it is named at all.
    if flip.first:
        return Outcome.GAINED_FIRST if flip.first > 0 else Outcome.LOST_FIRST
    return Outcome.GAINED_AMONG if flip.among > 0 else Outcome.LOST_AMONG


def _as_json(told: Told) -> dict[str, Any]:
    return {
        "classes": [[name.value, share] for name, share in told.classes],
        "causes": list(told.causes),
        "rank": told.verdict.class_rank,
    }


def _result(found: Trial, left_out: int) -> dict[str, Any]:
    return {
        "before": found.before.as_json() if found.before else None,
        "after": found.after.as_json() if found.after else None,
        "first": {"gained": len(found.now_first), "lost": len(found.no_longer_first)},
        "among": {"gained": len(found.now_among), "lost": len(found.no_longer_among)},
        "left_out": left_out,
    }


def _end(one: KnowledgeTrial, **what: Any) -> None:
    """Write down how it ended, unless it has ended meanwhile."""
    rows = KnowledgeTrial.objects.owed().filter(pk=one.pk)
    rows.update(ended_at=timezone.now(), worked_at=None, stop_asked_at=None, **what)
