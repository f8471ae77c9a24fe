"""What a work order says before it is a row, drawn from cause, place and work method; pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.inference.causes import Cause
from diagnostics.inference.work_methods import MethodStep, WorkMethod

TITLE_LENGTH = 200
# Cautions of every job near a belt, by their slugs, whatever else it needs.
ALWAYS_CAUTIONS = (
    "isolate-lock-try",
    "stored-energy",
    "never-reach-in",
    "warn-before-start",
    "guards-back",
    "local-rules",
)


@dataclass(frozen=True)
class Draft:
    """`hours` is elapsed time of all steps [h], None when nobody says; cautions are sentences."""

    title: str
    work_method: str
    steps: tuple[MethodStep, ...]
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    cautions: tuple[str, ...]
    hours: float | None
    people: int | None
    needs_isolation: bool
    proof: str


def draft_order(
    cause_slug: str,
    place: str,
    *,
    cause: Cause | None,
    method: WorkMethod | None,
    cautions: Mapping[str, str],
) -> Draft:
    """Draw up the order for one cause at one place.

    Parameters
    ----------
    cause_slug, place : str
        What was accepted and where, in words; place may be empty.
    cause, method : Cause, WorkMethod or None
        Entries of the catalogue; None when this version no longer knows them. The order then has
        no steps, and isolation stays needed.
    cautions : mapping of str to str
        Sentence of each caution by its slug.
    """
    what = method.name if method else (cause.name if cause else cause_slug.replace("_", " "))
    slugs = (
        *(method.cautions if method else ()),
        *(cause.cautions if cause else ()),
        *ALWAYS_CAUTIONS,
    )
    said = tuple(cautions[slug] for slug in dict.fromkeys(slugs) if slug in cautions)
    return Draft(
        title=_title(what, place),
        work_method=method.slug if method else "",
        steps=method.steps if method else (),
        tools=method.tools if method else (),
        parts=method.parts if method else (),
        cautions=said or tuple(cautions.values()),
        hours=method.hours if method else None,
        people=method.people if method else None,
        needs_isolation=method.needs_isolation if method else True,
        proof=method.proof if method else "",
    )


def _title(what: str, place: str) -> str:
    title = f"{what}: {place}" if place else what
    return title if len(title) <= TITLE_LENGTH else title[: TITLE_LENGTH - 1] + "…"


def draft_by_hand(
    title: str,
    *,
    method: WorkMethod | None,
    own_steps: tuple[str, ...],
    cautions: Mapping[str, str],
) -> Draft:
    """Draw up an order in a person's own words, on a work method's template when they chose one.

    Their own steps follow those of the method. Cautions cannot be left out: without a method,
    those of every job stand.
    """
    slugs = (*(method.cautions if method else ()), *ALWAYS_CAUTIONS)
    said = tuple(cautions[slug] for slug in dict.fromkeys(slugs) if slug in cautions)
    return Draft(
        title=_title(title, ""),
        work_method=method.slug if method else "",
        steps=(*(method.steps if method else ()), *(MethodStep(what, 0.0) for what in own_steps)),
        tools=method.tools if method else (),
        parts=method.parts if method else (),
        cautions=said or tuple(cautions.values()),
        hours=method.hours if method else None,
        people=method.people if method else None,
        needs_isolation=method.needs_isolation if method else True,
        proof=method.proof if method else "",
    )
