"""The texts the search looks through: of knowledge from a library, of cases from their rows.

Of a case nothing that says who called and how to call back: that stays in the office.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from diagnostics import case_texts
from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference.causes import Cause, Rule
from diagnostics.inference.work_methods import WorkMethod
from diagnostics.knowledge_entries import Library
from diagnostics.models import (
    Case,
    CaseMove,
    Complaint,
    Finding,
    Hypothesis,
    Photo,
    Sighting,
    TimedLook,
    WalkDown,
)
from diagnostics.models.search import SearchKind
from diagnostics.selectors import shelf

# Letters of one text; the database takes a megabyte of stems, and nobody reads that far.
_LONGEST = 100_000
# A rule has no name; what it says is long.
_TITLE = 300


@dataclass(frozen=True)
class SearchedText:
    """`says` weighs more than `more`; `case` is None for knowledge."""

    kind: SearchKind
    key: str
    title: str
    says: str
    more: str
    case: Case | None = None


def of_library(library: Library) -> list[SearchedText]:
    knowledge, methods = library.knowledge, library.work_methods
    return [
        *map(_cause, knowledge.causes.values()),
        *map(_method, methods.values()),
        *(_rule(rule, knowledge.causes.values()) for rule in knowledge.rules),
    ]


def _cause(cause: Cause) -> SearchedText:
    kinds = [kind.replace("_", " ") for kind in sorted(cause.stands_at)]
    tell_apart = [one.tell_apart for one in cause.look_alikes]
    told = [cause.confirm.what, cause.correct, cause.tolerance, *tell_apart]
    where = [str(CLASS_WORDS[cause.cause_class]), *kinds, *sorted(cause.needs)]
    return SearchedText(
        SearchKind.CAUSE, cause.slug, cause.name, cause.shows, _joined([*told, *where])
    )


def _method(method: WorkMethod) -> SearchedText:
    return SearchedText(
        SearchKind.METHOD,
        method.slug,
        method.name,
        _joined(step.what for step in method.steps),
        _joined([*method.tools, *method.parts, method.proof]),
    )


def _rule(rule: Rule, causes: Iterable[Cause]) -> SearchedText:
    spoken_for = {one.cause for one in rule.speaks if one.ratio > 1}
    names = [cause.name for cause in causes if cause.slug in spoken_for]
    return SearchedText(SearchKind.RULE, rule.slug, rule.says[:_TITLE], "", _joined(names))


def of_cases(case_ids: Collection[int]) -> list[SearchedText]:
    """One text a case that is still there, in a fixed number of queries."""
    cases = list(Case.objects.filter(pk__in=case_ids).select_related("conveyor"))
    said = _by_case(
        Complaint.objects.filter(withdrawn_at=None), case_ids, "words", "external_number"
    )
    noted = _notes(case_ids)
    elsewhere = case_texts.texts_of([case.pk for case in cases])
    found = []
    for case in cases:
        cause = shelf.shown_cause(case.conveyor.plant_id, case.cause) if case.cause else None
        # The belt's own names are searched for by whoever looks for all cases of it.
        belt = [case.number, str(case.conveyor), *case.conveyor.nicknames]
        says = [cause.name if cause else "", *said[case.pk]]
        more = [*noted[case.pk], *elsewhere[case.pk], *belt]
        found.append(
            SearchedText(
                SearchKind.CASE, case.number, case.summary, _joined(says), _joined(more), case
            )
        )
    return found


def _notes(case_ids: Collection[int]) -> dict[int, list[str]]:
    """What people wrote and ticked while they looked, what they confirmed and why."""
    standing = {"taken_back_at": None}
    sources = [
        _by_case(WalkDown.objects.all(), case_ids, "note"),
        _by_case(
            Sighting.objects.filter(**standing),
            case_ids,
            "note",
            "not_seen_reason",
            way="walk_down__case_id",
        ),
        _by_case(Finding.objects.filter(**standing), case_ids, "note"),
        _by_case(TimedLook.objects.filter(**standing), case_ids, "note"),
        _by_case(Photo.objects.filter(**standing), case_ids, "caption"),
        _by_case(Hypothesis.objects.exclude(judged_why=""), case_ids, "judged_why"),
        _by_case(CaseMove.objects.exclude(why=""), case_ids, "why"),
    ]
    found: dict[int, list[str]] = defaultdict(list)
    for source in sources:
        for case_id, texts in source.items():
            found[case_id] += texts
    remarked = WalkDown.objects.filter(case_id__in=case_ids).exclude(remarks=[])
    for case_id, remarks in remarked.values_list("case_id", "remarks"):
        found[case_id] += remarks
    return found


def _by_case(
    rows: QuerySet[Any], case_ids: Collection[int], *fields: str, way: str = "case_id"
) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    asked = rows.filter(**{f"{way}__in": case_ids}).order_by("pk")
    for case_id, *texts in asked.values_list(way, *fields):
        found[case_id] += [text for text in texts if text]
    return found


def _joined(texts: Iterable[str]) -> str:
    """Each a sentence of its own, so that no phrase reaches from one into the next."""
    return "\n".join(" ".join(text.split()) for text in texts if text.strip())[:_LONGEST]
