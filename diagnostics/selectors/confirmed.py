"""Confirmed cases with the diagnosis that stood when the cause was accepted, by the thousand.

What the evidence says of a cause is only known of a case that was diagnosed before; cases that
somebody named a cause for without one are left out where rules are tried, and misses of the hit
rate.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from diagnostics.inference.many_cases import ConfirmedCase
from diagnostics.inference.posterior import Likelihoods
from diagnostics.models import Case, Diagnosis, Hypothesis
from diagnostics.selectors import base_rates

# Rows fetched at once; what the evidence says of a case is some kilobytes.
_AT_ONCE = 500


def with_standing_diagnosis(cases: QuerySet[Case]) -> QuerySet[Any]:
    """Each case with `stood`, the key of its diagnosis at the moment its cause was accepted."""
    before = Diagnosis.objects.filter(case=OuterRef("pk"), made_at__lte=OuterRef("cause_found_at"))
    return cases.annotate(stood=Subquery(before.order_by("-made_at", "-pk").values("pk")[:1]))


def confirmed_cases(cases: QuerySet[Case]) -> Iterator[ConfirmedCase]:
    """Those that a draft can be tried on, in the order they were opened; read in parts.

    Parameters
    ----------
    cases : queryset of Case
        Of one plant or belt; those without a confirmed cause are passed over.
    """
    rows = (
        with_standing_diagnosis(base_rates.confirmed_in(cases))
        .filter(stood__isnull=False)
        .order_by("opened_at", "pk")
        .values_list("pk", "stood", "cause", "conveyor_id")
    )
    chunk: list[tuple[int, int, str, int]] = []
    for row in rows:
        chunk.append(row)
        if len(chunk) == _AT_ONCE:
            yield from _read(chunk)
            chunk = []
    yield from _read(chunk)


def without_evidence(cases: QuerySet[Case]) -> QuerySet[Any]:
    """Confirmed cases that no draft can be tried on, in the order they were opened.

    `stood` is None where nothing was diagnosed before the cause was accepted; the others were
    answered before it was kept what their evidence said.
    """
    standing = with_standing_diagnosis(base_rates.confirmed_in(cases))
    kept = Diagnosis.objects.filter(pk=OuterRef("stood")).exclude(likelihoods={})
    return standing.filter(~Exists(kept)).order_by("opened_at", "pk")


def causes_accepted_besides(cases: Collection[int]) -> dict[int, list[tuple[str, str]]]:
    """Of each case every accepted cause with its class: two faults at once are two of them."""
    found: dict[int, list[tuple[str, str]]] = defaultdict(list)
    rows = Hypothesis.objects.filter(case__in=cases, accepted_at__isnull=False).order_by("pk")
    for case_id, cause, cause_class in rows.values_list("case_id", "cause", "cause_class"):
        found[case_id].append((cause, cause_class))
    return found


def _read(rows: list[tuple[int, int, str, int]]) -> Iterator[ConfirmedCase]:
    said = dict(
        Diagnosis.objects.filter(pk__in=[row[1] for row in rows])
        .exclude(likelihoods={})
        .values_list("pk", "likelihoods")
    )
    besides = causes_accepted_besides([row[0] for row in rows])
    for case_id, diagnosis_id, cause, conveyor_id in rows:
        # Answers from before it was kept say nothing of their evidence.
        if diagnosis_id not in said:
            continue
        others = [slug for slug, _name in besides[case_id] if slug != cause]
        yield ConfirmedCase(
            key=case_id,
            likelihoods=Likelihoods.from_json(said[diagnosis_id]),
            truth=(cause, *dict.fromkeys(others)),
            conveyor=conveyor_id,
        )
