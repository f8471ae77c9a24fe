"""The phone's ranking in real Chromium beside the server's engine: same evidence, both answers."""

import base64
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from playwright.sync_api import Page

from diagnostics.inference import diagnosis
from diagnostics.inference.answer import Answer
from diagnostics.inference.evidence import ConveyorFacts, Evidence
from diagnostics.inference.next_look.checks import Situation, next_checks
from diagnostics.inference.places import is_possible
from diagnostics.inference.pocket.table import pocket_table
from diagnostics.inference.priors import log_priors
from diagnostics.inference.timed_look import read_timed_look, together
from tests.diagnostics import belts

MODULE = "/static/diagnostics/pocket/ranking/rank.js"


@dataclass(frozen=True)
class Ranked:
    """One evidence and what the phone made of it."""

    evidence: Evidence
    classes: Mapping[str, float]
    places: list[dict[str, Any]]
    is_sufficient: bool
    next: list[dict[str, Any]]


def ranked(page: Page, evidences: Iterable[Evidence], **more: Any) -> list[Ranked]:
    """The phone's answers; `more` goes into each evidence (`load`, `from_m`)."""
    asked = list(evidences)
    tables: dict[int, str] = {}
    for one in asked:
        if id(one.conveyor) not in tables:
            tables[id(one.conveyor)] = table_text(one.conveyor)
    cases = [[str(id(one.conveyor)), {**phone_evidence(one), **more}] for one in asked]
    told = evaluated(
        page,
        """const opened = {};
        for (const [key, text] of Object.entries(given.tables)) {
            opened[key] = the.openTable(bytes(text));
        }
        return given.cases.map(([key, evidence]) => the.rank(opened[key], evidence));""",
        {"tables": tables, "cases": cases},
    )
    return [
        Ranked(one, dict(got["classes"]), got["places"], got["isSufficient"], got["next"])
        for one, got in zip(asked, told, strict=True)
    ]


def evaluated(page: Page, code: str, value: Any) -> Any:
    """`code` with `the` as the module, `given` as the value and `bytes` from base64."""
    script = f"""async (text) => {{
        const the = await import("{MODULE}");
        const given = JSON.parse(text);
        const bytes = (one) => Uint8Array.from(atob(one), (each) => each.charCodeAt(0)).buffer;
        {code}
    }}"""
    return page.evaluate(script, json.dumps(value))


def table_text(conveyor: ConveyorFacts) -> str:
    return base64.b64encode(pocket_table(conveyor, belts.knowledge())).decode()


def phone_evidence(evidence: Evidence) -> dict[str, Any]:
    """As the kit holds it."""
    conveyor = evidence.conveyor
    travels = (
        read_timed_look(one, conveyor.belt.length_m, conveyor.speed_mps)
        for one in evidence.timed_looks
    )
    travel = together(tuple(travels))
    possible = (one for one in belts.knowledge().causes.values() if is_possible(one, conveyor))
    return {
        "log_priors": log_priors(possible, evidence.priors),
        "travel": asdict(travel) if travel else None,
        "remarks": sorted(evidence.remarks),
        "findings": [asdict(one) for one in evidence.findings],
        "sightings": [asdict(one) for one in evidence.sightings],
    }


def thought(evidence: Evidence) -> tuple[Answer, Situation]:
    """The server's answer, and the situation that it weighs its next checks against."""
    found: list[Situation] = []

    def note(situation: Situation) -> tuple[Any, ...]:
        found.append(situation)
        return next_checks(situation)

    kept = diagnosis.next_checks
    diagnosis.next_checks = note
    try:
        return diagnosis.diagnose(evidence, belts.knowledge()), found[0]
    finally:
        diagnosis.next_checks = kept
