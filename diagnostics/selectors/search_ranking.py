"""Which entries fit, the best first."""

from collections.abc import Collection
from dataclasses import dataclass
from functools import reduce
from operator import and_, or_
from typing import Any

from django.contrib.postgres.search import SearchRank
from django.db.models import Case, F, FloatField, Value, When
from django.db.models.functions import Sqrt

from diagnostics.models.search import SearchEntry, SearchKind
from diagnostics.selectors.search_parts import MOST_COUNTED, Part, Scope

# Entries this far below the best match are left out; engineering judgement.
_LEAST_SHARE = 0.3
# By the way, done, said and shown, name; engineering judgement.
_WEIGHTS = [0.02, 0.1, 0.3, 1.0]
# A rule is a sentence about many causes, a method serves several, a caller's first words are no
# name: causes come first where all fit alike. Engineering judgement.
_OF_KIND = {SearchKind.RULE: 0.5, SearchKind.METHOD: 0.8, SearchKind.CASE: 0.7}


@dataclass(frozen=True)
class Ranked:
    """`is_cut` when so many cases fit that only the newest were weighed."""

    found: list[tuple[int, SearchKind]]
    is_cut: bool = False


def ranked(scope: Scope, parts: Collection[Part]) -> Ranked:
    """Keys and kinds of what fits, in one query.

    What holds one of the telling parts fits; where none is telling, what holds them all. However
    many cases that are, no more than the newest few hundred are weighed.
    """
    telling = [part.query for part in parts if part.is_telling]
    wanted = reduce(or_, telling) if telling else reduce(and_, (part.query for part in parts))
    fitting = scope.rows.filter(words=wanted).order_by()
    of_cases = fitting.filter(kind=SearchKind.CASE.value)
    newest = of_cases.order_by("-case_id").values("pk")[: MOST_COUNTED + 1]
    worth = _worth(parts)
    sources = (fitting.filter(case=None), SearchEntry.objects.filter(pk__in=newest).order_by())
    knowledge, cases = (
        rows.annotate(worth=worth).values_list("pk", "kind", "worth", "case_id") for rows in sources
    )
    rows = list(knowledge.union(cases, all=True))
    is_cut = sum(1 for row in rows if row[3] is not None) > MOST_COUNTED
    # Of cases that fit equally well the newest first.
    rows.sort(key=lambda row: (-row[2], -(row[3] or 0), row[0]))
    least = _LEAST_SHARE * rows[0][2] if rows else 0.0
    return Ranked([(pk, SearchKind(kind)) for pk, kind, fit, _c in rows if fit >= least], is_cut)


def _worth(parts: Collection[Part]) -> Any:
    """The root, so that holding one more of the parts counts for more than one of them often."""
    weighed = (Sqrt(_rank(part)) * Value(part.worth, FloatField()) for part in parts)
    kinds = (When(kind=kind.value, then=Value(share)) for kind, share in _OF_KIND.items())
    of_kind = Case(*kinds, default=Value(1.0), output_field=FloatField())
    return reduce(lambda one, other: one + other, weighed) * of_kind


def _rank(part: Part) -> SearchRank:
    # By what covers the query: the plain rank would count each word of a phrase by itself.
    return SearchRank(F("words"), part.query, weights=_WEIGHTS, cover_density=True)
