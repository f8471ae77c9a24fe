"""From the plain contents of the knowledge files to causes, rules and work methods.

Shapes were checked before; here what no schema can say: that entries name each other rightly.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.inference.causes import (
    Cause,
    ConfirmingCheck,
    Knowledge,
    LookAlike,
    Rule,
    Speaks,
)
from diagnostics.inference.vocabulary import CauseClass, Pattern
from diagnostics.inference.work_methods import MethodStep, WorkMethod
from diagnostics.knowledge_schema import SHAPES, KnowledgeError, check_shape
from plant.loop.vocabulary import ComponentKind

_CAUSES, _RULES = "causes.yaml", "rules.yaml"
_CAUTIONS, _METHODS = "cautions.yaml", "work_methods.yaml"


@dataclass(frozen=True)
class Library:
    """All knowledge of one version: what the engine reads and what work orders start from."""

    knowledge: Knowledge
    work_methods: Mapping[str, WorkMethod]


def checked_library(documents: Mapping[str, Any], version: str) -> Library:
    """Check the shape of the four documents, then build the library.

    Raises
    ------
    KnowledgeError
        As `check_shape` and `library_of`.
    """
    for file in SHAPES:
        check_shape(file, documents.get(file))
    return library_of(documents, version)


def library_of(documents: Mapping[str, Mapping[str, Any]], version: str) -> Library:
    """Build the library from the four documents by file name.

    Raises
    ------
    KnowledgeError
        Repeated slugs or names, causes, cautions or methods that are not there, a cause that
        looks like itself, two causes confirmed by the same check, hours that do not add up.
    """
    cautions = {
        slug: f"{entry['says']} ({entry['source']})"
        for slug, entry in _by_slug(_CAUTIONS, documents[_CAUTIONS]["cautions"]).items()
    }
    methods = {
        slug: _work_method(entry)
        for slug, entry in _by_slug(_METHODS, documents[_METHODS]["work_methods"]).items()
    }
    causes = {
        slug: _cause(entry)
        for slug, entry in _by_slug(_CAUSES, documents[_CAUSES]["causes"]).items()
    }
    rules = tuple(
        _rule(entry, causes) for entry in _by_slug(_RULES, documents[_RULES]["rules"]).values()
    )
    for method in methods.values():
        _check_known(_METHODS, method.slug, "cautions", method.cautions, cautions)
    _check_causes(causes, cautions, methods)
    return Library(Knowledge(version, causes, rules, cautions), methods)


def _by_slug(file: str, entries: Iterable[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for entry in entries:
        if entry["slug"] in found:
            raise KnowledgeError(file, entry["slug"], "slug", "is used by two entries")
        found[entry["slug"]] = entry
    return found


def _check_known(
    file: str, entry: str, field: str, named: Iterable[str], known: Mapping[str, object]
) -> None:
    for one in named:
        if one not in known:
            raise KnowledgeError(file, entry, field, f"there is no {one!r}")


def _check_causes(
    causes: Mapping[str, Cause],
    cautions: Mapping[str, str],
    methods: Mapping[str, WorkMethod],
) -> None:
    for cause in causes.values():
        _check_known(_CAUSES, cause.slug, "cautions", cause.cautions, cautions)
        _check_known(_CAUSES, cause.slug, "work_method", [cause.work_method], methods)
        others = [one.cause for one in cause.look_alikes]
        _check_known(_CAUSES, cause.slug, "look_alikes", others, causes)
        if cause.slug in others:
            raise KnowledgeError(_CAUSES, cause.slug, "look_alikes", "looks like itself")
        if len(set(others)) < len(others):
            raise KnowledgeError(_CAUSES, cause.slug, "look_alikes", "names a cause twice")
    _check_apart(causes, "confirm.what", {c.slug: c.confirm.what for c in causes.values()})
    _check_apart(causes, "name", {c.slug: c.name for c in causes.values()})


def _check_apart(causes: Mapping[str, Cause], field: str, texts: Mapping[str, str]) -> None:
    """A check that fits two causes would confirm neither."""
    seen: dict[str, str] = {}
    for slug in causes:
        text = " ".join(texts[slug].casefold().split()).rstrip(".")
        if text in seen:
            raise KnowledgeError(_CAUSES, slug, field, f"is the same as that of {seen[text]}")
        seen[text] = slug


def _cause(entry: dict[str, Any]) -> Cause:
    confirm = entry["confirm"]
    return Cause(
        slug=entry["slug"],
        name=entry["name"],
        cause_class=CauseClass(entry["class"]),
        pattern=Pattern(entry["pattern"]),
        stands_at=frozenset(ComponentKind(kind) for kind in entry["stands_at"]),
        needs=frozenset(entry["needs"]),
        weight=float(entry["weight"]),
        shows=entry["shows"],
        look_alikes=tuple(
            LookAlike(one["cause"], one["tell_apart"]) for one in entry["look_alikes"]
        ),
        confirm=ConfirmingCheck(
            what=confirm["what"],
            minutes=float(confirm["minutes"]),
            needs_stop=confirm["needs_stop"],
            tools=tuple(confirm.get("tools", ())),
        ),
        correct=entry["correct"],
        shift=entry["shift"],
        size_unit=entry["size_unit"],
        tolerance=entry["tolerance"],
        cautions=tuple(entry["cautions"]),
        work_method=entry["work_method"],
        source=entry["source"],
    )


def _rule(entry: dict[str, Any], causes: Mapping[str, Cause]) -> Rule:
    return Rule(
        slug=entry["slug"],
        says=entry["says"],
        when={feature: frozenset(words) for feature, words in entry["when"].items()},
        speaks=_speaks(entry, causes),
        source=entry["source"],
        version=entry["version"],
    )


def _speaks(entry: dict[str, Any], causes: Mapping[str, Cause]) -> tuple[Speaks, ...]:
    """Named causes as they stand; a class stands for its causes that the rule does not name."""
    slug = entry["slug"]
    ratios: dict[str, float] = {}
    by_class: dict[CauseClass, float] = {}
    for one in entry["speaks"]:
        if ("cause" in one) == ("class" in one):
            raise KnowledgeError(_RULES, slug, "speaks", "each line has either cause or class")
        if "class" in one:
            cause_class = CauseClass(one["class"])
            if cause_class in by_class:
                raise KnowledgeError(_RULES, slug, "speaks", f"names {cause_class} twice")
            by_class[cause_class] = float(one["ratio"])
            continue
        _check_known(_RULES, slug, "speaks", [one["cause"]], causes)
        if one["cause"] in ratios:
            raise KnowledgeError(_RULES, slug, "speaks", f"names {one['cause']} twice")
        ratios[one["cause"]] = float(one["ratio"])
    for cause in causes.values():
        if cause.cause_class in by_class and cause.slug not in ratios:
            ratios[cause.slug] = by_class[cause.cause_class]
    return tuple(Speaks(cause, ratio) for cause, ratio in ratios.items())


def _work_method(entry: dict[str, Any]) -> WorkMethod:
    steps = tuple(
        MethodStep(step["what"], float(step["hours"]), step.get("skill", ""))
        for step in entry["steps"]
    )
    together = math.fsum(step.hours for step in steps)
    if not math.isclose(together, entry["hours"], abs_tol=0.01):
        raise KnowledgeError(
            _METHODS,
            entry["slug"],
            "hours",
            f"says {entry['hours']:g}, but the steps add up to {together:g}",
        )
    return WorkMethod(
        slug=entry["slug"],
        name=entry["name"],
        steps=steps,
        tools=tuple(entry["tools"]),
        parts=tuple(entry["parts"]),
        hours=float(entry["hours"]),
        people=entry["people"],
        needs_isolation=entry["needs_isolation"],
        cautions=tuple(entry["cautions"]),
        proof=entry["proof"],
        source=entry["source"],
    )
