"""Confirmed cases as rows, by the thousand, and a draft that makes some of them flip."""

from collections.abc import Iterable
from datetime import timedelta
from itertools import count
from typing import Any

from django.utils import timezone

from diagnostics import knowledge_files
from diagnostics.inference.many_cases import ConfirmedCase
from diagnostics.inference.posterior import Likelihoods
from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_digest import mark_of
from diagnostics.models import Case, Diagnosis, KnowledgeEdition, KnowledgeTrial
from diagnostics.services import knowledge_trying
from diagnostics.services.knowledge_keeping import Wanted
from plant.models import Conveyor, Plant
from tests.diagnostics import editions
from tests.diagnostics.factories import NOW

SPLICE, TAIL = "crooked_splice", "tail_pulley_skewed"
REMARK = "cleaner or plough presses on one side"
_numbers = count(1)


def make_cases(conveyors: list[Conveyor], given: Iterable[ConfirmedCase]) -> list[Case]:
    """A closed case with a diagnosis for each; the conveyor by the number it is given with."""
    given = list(given)
    causes = knowledge_files.current().causes
    made = Case.objects.bulk_create(
        Case(
            conveyor=conveyors[one.conveyor],
            number=f"T-{next(_numbers):05d}",
            state="closed",
            summary="rubs on the frame",
            opened_at=NOW + timedelta(minutes=place),
            cause=one.truth[0],
            cause_class=causes[one.truth[0]].cause_class.value,
            cause_found_at=NOW + timedelta(days=30, minutes=place),
        )
        for place, one in enumerate(given)
    )
    Diagnosis.objects.bulk_create(
        Diagnosis(
            case=case,
            made_at=case.opened_at + timedelta(days=1),
            pattern="fixed",
            is_sufficient=True,
            answer={},
            likelihoods=one.likelihoods.as_json(),
        )
        for case, one in zip(made, given, strict=True)
    )
    return made


def close_call(truth: str, features: dict[str, frozenset[str]] | None = None) -> ConfirmedCase:
    """The tail pulley by two logs, and a remark that a rule of the draft speaks about."""
    seen = {"remarks": frozenset({REMARK})} if features is None else features
    return ConfirmedCase(0, Likelihoods({SPLICE: 0.0, TAIL: 2.0}, seen), (truth,), 0)


def begin_draft(plant: Plant, cause: str = SPLICE, ratio: float = 100) -> KnowledgeEdition:
    """With a rule by which the remark speaks loudly for one cause."""
    rule = editions.cleaner_rule(speaks=[{"cause": cause, "ratio": ratio}])
    wanted = Wanted(Kind.RULE, rule["slug"], rule, mark_of(None))
    return editions.keep(editions.begin(plant), wanted)


def ask(draft: KnowledgeEdition, **how: Any) -> KnowledgeTrial:
    given = {"by": None, "now": timezone.now(), **how}
    return knowledge_trying.ask_trial(edition_id=draft.pk, **given)


def tried(draft: KnowledgeEdition) -> KnowledgeTrial:
    """A trial asked for and done."""
    one = ask(draft)
    knowledge_trying.do_owed()
    one.refresh_from_db()
    assert one.is_tried, one.refusal
    return one
