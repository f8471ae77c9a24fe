"""An answer as a page of text for a person."""

import textwrap
from collections.abc import Iterable

from diagnostics.inference.answer import Answer, Correction, NextCheck, Pair, Suspicion
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evidence import ConveyorFacts

_WIDTH = 96
# What a person reads first; the rest is in the JSON answer.
_CLASSES_SHOWN, _CHECKS_SHOWN = 3, 8


def page_of(name: str | int, answer: Answer, conveyor: ConveyorFacts, knowledge: Knowledge) -> str:
    """One case: pattern, onset, the first three, what to check next, cautions, notes."""
    lines = [f"Case {name}, conveyor {conveyor.tag}", "=" * 40]
    lines += _said(f"Pattern: {answer.pattern}. {_onset(answer)}")
    if not answer.sufficient:
        lines += _said("What was seen does not support an answer yet; see the notes.")
    lines += ["", *_said("The likeliest cause of each of the likeliest families:")]
    for number, suspicion in enumerate(_first_of_classes(answer), start=1):
        lines += ["", *_suspicion(number, suspicion, conveyor, knowledge)]
    lines += _section("Two causes at once", (_pair(one, knowledge) for one in answer.pairs))
    lines += _section("Look at next", (_check(one) for one in answer.next_checks[:_CHECKS_SHOWN]))
    lines += _section("Cautions", answer.cautions)
    lines += _section("Notes", answer.notes)
    return "\n".join(lines) + "\n"


def _onset(answer: Answer) -> str:
    if answer.onset is None:
        return "No place where the belt first goes off centre."
    onset = answer.onset
    return f"First off centre at {onset.station}, {onset.position_m:.1f} m, on the {onset.run} run."


def _first_of_classes(answer: Answer) -> list[Suspicion]:
    best: dict[str, Suspicion] = {}
    for one in answer.ranked:
        best.setdefault(one.cause_class, one)
    return list(best.values())[:_CLASSES_SHOWN]


def _suspicion(
    number: int, one: Suspicion, conveyor: ConveyorFacts, knowledge: Knowledge
) -> list[str]:
    name = knowledge.causes[one.cause].name
    lines = _said(f"{number}. {name}, {_place(one)}: {_percent(one.probability)}", indent="")
    details = []
    if one.side is not None:
        details.append(f"drives the belt to the {conveyor.side_in_words(one.side)}")
    if one.size is not None:
        details.append(f"about {_rounded(one.size)} {one.size_unit}")
    if details:
        lines += _said("; ".join(details).capitalize() + ".")
    lines += [line for reason in one.reasons for line in _said(reason, bullet="+ ")]
    lines += [line for reason in one.against for line in _said(reason, bullet="- ")]
    if one.correction is not None:
        lines += _correction(one.correction)
    return lines


def _place(one: Suspicion) -> str:
    if one.position_m is not None:
        name = f"{one.component} at " if one.component else ""
        return f"{name}{one.position_m:.1f} m ({one.zone})"
    if one.belt_position_m is not None:
        name = f"{one.component}, " if one.component else ""
        return f"on the belt, {name}{one.belt_position_m:.1f} m ahead of the reference splice"
    return "no one place"


def _correction(correction: Correction) -> list[str]:
    lines = _said(f"First step: {correction.what}")
    if correction.move_mm is not None:
        lines += _said(f"How far: {correction.move_mm:g} mm, {correction.direction}.")
    lines += _said(
        f"Then wait {correction.wait_revolutions} turns of the belt. Look for: "
        f"{correction.look_for}"
    )
    return lines


def _pair(pair: Pair, knowledge: Knowledge) -> str:
    causes = [knowledge.causes[slug].name for slug in pair.causes]
    return f"{causes[0]} and {causes[1]}: {_percent(pair.probability)}"


def _check(check: NextCheck) -> str:
    stop = "belt stopped and locked out" if check.needs_stop else "belt running, from outside"
    return f"{check.what} Where: {check.where}. {check.minutes:g} min, {stop}."


def _section(title: str, sentences: Iterable[str]) -> list[str]:
    lines = [line for one in sentences for line in _said(one, bullet="* ")]
    return ["", f"{title}:", *lines] if lines else []


def _said(text: str, *, bullet: str = "", indent: str = "   ") -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=indent + bullet,
        subsequent_indent=indent + " " * len(bullet),
    )


def _percent(probability: float) -> str:
    return "under 1%" if probability < 0.01 else f"{probability:.0%}"


def _rounded(size: float) -> str:
    """Two figures: more would claim what the readings do not tell."""
    return f"{size:.0f}" if size >= 10 else f"{size:.2g}"
