"""Running the engine over a case's evidence and keeping the answer.

What is owed stands in `Case.diagnosis_owed_at`, written with the evidence; a task or the sweep
pays it. A lost wake-up is made good by the sweep, a repeated one finds nothing owed.
"""

import logging
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import asdict
from datetime import datetime
from functools import partial

from django.db import transaction
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from diagnostics import signals
from diagnostics.inference.answer import Answer
from diagnostics.inference.diagnosis import ENGINE_VERSION, diagnose
from diagnostics.models import Case, Diagnosis, Hypothesis, TimedLook, WalkDown
from diagnostics.selectors import shelf
from diagnostics.selectors.basis import basis_of, moved_since
from diagnostics.selectors.evidence import evidence_from, recorded_of
from diagnostics.selectors.named_first import named_in
from plant.errors import DomainError
from plant.loop.parts import GeometryError
from plant.models import Conveyor

logger = logging.getLogger(__name__)

# Rows a person can accept or refute; the whole ranking stays in the stored answer.
KEPT_HYPOTHESES = 10

_wakes = ContextVar("wakes", default=True)


class LoopIncomplete(DomainError):
    """The register does not describe a closed loop yet; the text says what is missing."""

    code = "loop_incomplete"


def owe_diagnosis(case: Case, *, now: datetime) -> None:
    """Note that the case's evidence has changed, and wake whoever diagnoses after the commit."""
    Case.objects.filter(pk=case.pk).update(diagnosis_owed_at=now)
    if _wakes.get():
        transaction.on_commit(partial(_wake, case.pk))


def owe_diagnoses_of(conveyor: Conveyor, *, now: datetime) -> None:
    """The register changed: what was seen on this belt in open cases may now say something else."""
    walked = Exists(WalkDown.objects.filter(case=OuterRef("pk")))
    timed = Exists(TimedLook.objects.filter(case=OuterRef("pk")))
    for case in Case.objects.open().filter(walked | timed, conveyor=conveyor):
        owe_diagnosis(case, now=now)


def owe_diagnoses_at(plant_id: int, *, now: datetime) -> int:
    """What all belts of a plant go by changed; returns how many open cases owe a diagnosis.

    Nobody is woken: whoever changed it need not wait for all of them, the sweep pays.
    """
    return (
        Case.objects.open()
        .filter(_was_looked_at(), conveyor__plant=plant_id)
        .update(diagnosis_owed_at=now)
    )


def _was_looked_at() -> Q:
    walked = Exists(WalkDown.objects.filter(case=OuterRef("pk")))
    return walked | Exists(TimedLook.objects.filter(case=OuterRef("pk")))


@contextmanager
def nobody_woken() -> Iterator[None]:
    """For whoever diagnoses its many changes itself before it commits."""
    before = _wakes.set(False)
    try:
        yield
    finally:
        _wakes.reset(before)


@contextmanager
def woken_once(case_id: int) -> Iterator[None]:
    """For many changes of one case, each in its own transaction: diagnosed once, at the end."""
    with nobody_woken():
        yield
    if _wakes.get() and Case.objects.owing_diagnosis().filter(pk=case_id).exists():
        _wake(case_id)


def _wake(case_id: int) -> None:
    from diagnostics.tasks import diagnose_owed_cases

    # Its own case only: without a broker this runs while the person waits for the next page.
    diagnose_owed_cases.delay(case_id=case_id)


def pay_owed(*, most: int = 100, case_id: int | None = None) -> int:
    """Diagnose cases that owe it, or the one, each in its own transaction; returns how many.

    A case on which the engine fails stays owed, is tried again by the next sweep and keeps no
    other case waiting.
    """
    done, failed = 0, set[int]()
    while done < most and (owing_id := _next_owed(failed, case_id)) is not None:
        try:
            done += _pay(owing_id)
        except Exception:
            logger.exception("The diagnosis of case %s failed.", owing_id)
            failed.add(owing_id)
    return done


def _next_owed(but: set[int], case_id: int | None) -> int | None:
    owing = Case.objects.owing_diagnosis().exclude(pk__in=but).order_by("diagnosis_owed_at", "pk")
    if case_id is not None:
        owing = owing.filter(pk=case_id)
    # Another worker's case is locked and skipped, not waited for.
    with transaction.atomic():
        free = owing.select_for_update(skip_locked=True, no_key=True)
        return free.values_list("pk", flat=True).first()


@transaction.atomic
def _pay(case_id: int) -> bool:
    case = (
        Case.objects.owing_diagnosis()
        .select_for_update(skip_locked=True, of=("self",), no_key=True)
        .select_related("conveyor")
        .filter(pk=case_id)
        .first()
    )
    if case is None:
        return False
    # Nothing to compute until the register is complete; the case page says what is missing.
    with suppress(LoopIncomplete):
        _diagnose(case, now=timezone.now())
    Case.objects.filter(pk=case.pk).update(diagnosis_owed_at=None)
    return True


@transaction.atomic
def diagnose_case(*, case_id: int, now: datetime) -> Diagnosis:
    """Diagnose at once, owed or not; refuses with LoopIncomplete.

    The earlier standing diagnosis is superseded in the same transaction.
    """
    case = (
        Case.objects.select_for_update(of=("self",), no_key=True)
        .select_related("conveyor")
        .get(pk=case_id)
    )
    made = _diagnose(case, now=now)
    Case.objects.filter(pk=case.pk).update(diagnosis_owed_at=None)
    return made


def _diagnose(case: Case, *, now: datetime) -> Diagnosis:
    known = shelf.in_force(case.conveyor.plant_id)
    recorded = recorded_of(case)
    try:
        evidence = evidence_from(case, recorded)
    except GeometryError as error:
        raise LoopIncomplete(str(error)) from error
    answer = diagnose(evidence, known.knowledge)
    earlier = case.diagnoses.filter(superseded_at__isnull=True).first()
    moved = moved_since(earlier, evidence, known.knowledge) if earlier else []
    case.diagnoses.filter(superseded_at__isnull=True).update(superseded_at=now)
    told = answer.as_json(case.number)
    made = Diagnosis.objects.create(
        case=case,
        made_at=now,
        engine_version=ENGINE_VERSION,
        knowledge_version=known.knowledge.version,
        edition_id=known.edition_id,
        pattern=answer.pattern,
        is_sufficient=answer.sufficient,
        answer=told,
        likelihoods=answer.likelihoods.as_json() | {"priors": evidence.priors.as_json()},
        named=named_in(told),
        basis=basis_of(recorded) | {"moved": moved},
    )
    Hypothesis.objects.bulk_create(_hypotheses(made, answer))
    signals.diagnosis_made.send(sender=Diagnosis, diagnosis=made, now=now)
    return made


def _hypotheses(made: Diagnosis, answer: Answer) -> list[Hypothesis]:
    entries = made.answer["ranked"][:KEPT_HYPOTHESES]
    sums = [asdict(one.sum) for one in answer.ranked]
    return [
        Hypothesis(
            case_id=made.case_id,
            diagnosis=made,
            rank=rank,
            cause=entry["cause"],
            cause_class=entry["class"],
            zone=entry["zone"] or "",
            component=entry["component"] or "",
            position_m=entry["position_m"],
            probability=entry["probability"],
            detail=entry | {"sum": sums[rank - 1]},
        )
        for rank, entry in enumerate(entries, start=1)
    ]
