"""What the Knowledge pages show: causes as they are looked for, one cause with all about it."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby

from django.db.models import QuerySet

from diagnostics.inference import strength
from diagnostics.inference.cause_zones import zones_of
from diagnostics.inference.causes import Cause, Knowledge, Rule
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.inference.work_methods import WorkMethod
from diagnostics.knowledge_entries import Library
from diagnostics.models import Case
from plant.loop.vocabulary import Zone
from plant.models import Plant


@dataclass(frozen=True)
class Weight:
    """A rule beside one cause it speaks about."""

    rule: Rule
    cause: Cause
    ratio: float
    words: str

    @property
    def is_for(self) -> bool:
        return self.ratio >= 1


@dataclass(frozen=True)
class Neighbour:
    """A cause that is taken for another one, and how to tell them apart."""

    cause: Cause
    tell_apart: str


@dataclass(frozen=True)
class CausePage:
    cause: Cause
    zones: tuple[Zone, ...]
    cautions: tuple[str, ...]
    look_alikes: tuple[Neighbour, ...]
    taken_for: tuple[Neighbour, ...]
    speaks_for: tuple[Weight, ...]
    speaks_against: tuple[Weight, ...]
    method: WorkMethod

    @property
    def texts_with_sources(self) -> list[str]:
        rules = [weight.rule.source for weight in self.speaks_for + self.speaks_against]
        return [self.cause.source, self.cause.tolerance, self.method.source, *rules]


@dataclass(frozen=True)
class CauseOfPlant:
    """The row of the parts that other rooms add to the page of a cause."""

    cause: Cause
    plant: Plant | None


@dataclass(frozen=True)
class RuleRow:
    """A rule with the causes it speaks about, the strongest first."""

    rule: Rule
    weights: tuple[Weight, ...]

    @property
    def groups(self) -> list[tuple[Weight, list[Cause]]]:
        """Causes it speaks about equally strongly, side by side."""
        return [
            (same[0], [weight.cause for weight in same])
            for same in (
                list(group) for _ratio, group in groupby(self.weights, lambda one: one.ratio)
            )
        ]

    @property
    def asks(self) -> list[tuple[str, list[str]]]:
        """Feature and words in a steady order."""
        return [(feature, sorted(words)) for feature, words in sorted(self.rule.when.items())]


def causes_at(
    knowledge: Knowledge,
    *,
    cause_class: CauseClass | None = None,
    zone: Zone | None = None,
) -> tuple[Cause, ...]:
    """Causes of a class that can stand in a zone, in the order of the catalogue."""
    return tuple(
        cause
        for cause in knowledge.causes.values()
        if (cause_class is None or cause.cause_class is cause_class)
        and (zone is None or zone in zones_of(cause))
    )


def cause_page(
    knowledge: Knowledge, methods: Mapping[str, WorkMethod], slug: str
) -> CausePage | None:
    """Everything about one cause; None when the catalogue has no such cause."""
    cause = knowledge.causes.get(slug)
    if cause is None:
        return None
    method = methods[cause.work_method]
    named = {one.cause for one in cause.look_alikes}
    weights = sorted(
        (weight for row in rule_rows(knowledge) for weight in row.weights if weight.cause is cause),
        key=lambda weight: -weight.ratio,
    )
    return CausePage(
        cause=cause,
        zones=zones_of(cause),
        cautions=tuple(
            knowledge.cautions[one] for one in dict.fromkeys(cause.cautions + method.cautions)
        ),
        look_alikes=tuple(
            Neighbour(knowledge.causes[one.cause], one.tell_apart) for one in cause.look_alikes
        ),
        taken_for=tuple(
            Neighbour(other, one.tell_apart)
            for other in knowledge.causes.values()
            if other.slug not in named
            for one in other.look_alikes
            if one.cause == slug
        ),
        speaks_for=tuple(weight for weight in weights if weight.is_for),
        speaks_against=tuple(weight for weight in reversed(weights) if not weight.is_for),
        method=method,
    )


@dataclass(frozen=True)
class MethodPage:
    method: WorkMethod
    cautions: tuple[str, ...]
    causes: tuple[Cause, ...]


def method_page(library: Library, slug: str) -> MethodPage | None:
    """One work method and what it is for; None when there is no such method."""
    method = library.work_methods.get(slug)
    if method is None:
        return None
    causes = library.knowledge.causes.values()
    return MethodPage(
        method,
        tuple(library.knowledge.cautions[one] for one in method.cautions),
        tuple(cause for cause in causes if cause.work_method == slug),
    )


def past_cases(plant: Plant, cause: str) -> QuerySet[Case]:
    """Cases of the plant in which a person confirmed the cause, the newest first."""
    found = Case.objects.filter(conveyor__plant=plant, cause=cause)
    return found.select_related("conveyor__plant").order_by("-opened_at", "-pk")


def rule_rows(knowledge: Knowledge) -> tuple[RuleRow, ...]:
    """All rules in the order of their file."""
    return tuple(
        RuleRow(
            rule,
            tuple(
                Weight(rule, knowledge.causes[one.cause], one.ratio, strength.in_words(one.ratio))
                for one in sorted(rule.speaks, key=lambda one: -one.ratio)
            ),
        )
        for rule in knowledge.rules
    )
