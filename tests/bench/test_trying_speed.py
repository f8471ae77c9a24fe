"""A draft tried on ten thousand confirmed cases of a plant as the worker does it, from the tables.

Targets 60 s on two cores and 500 MB; nothing is asserted of seconds: machines differ. In the same
run the ratio to half as many cases, which says whether it grows as the cases do.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from diagnostics.models import KnowledgeTrial
from diagnostics.services.knowledge_keeping import Wanted, mark_of
from tests.diagnostics import belts, editions, factories, tried_cases
from tests.diagnostics.confirmed_cases import drawn_cases

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]
ROOT = Path(__file__).parents[2]
CASES, CONVEYORS = 10_000, 120
TARGET_S, MOST_MB = 60, 500.0


def took(cases: int) -> dict[str, float]:
    plant = factories.make_plant()
    conveyors = [factories.make_bare_conveyor(plant) for _number in range(CONVEYORS)]
    given = drawn_cases(belts.knowledge(), cases, conveyors=CONVEYORS)
    for start in range(0, cases, 1000):
        tried_cases.make_cases(conveyors, given[start : start + 1000])
    draft = editions.begin(plant)
    kind = tried_cases.Kind.RULE
    rule = draft.contents[kind.file][kind.key][0]
    draft = editions.keep(draft, Wanted(kind, rule["slug"], None, mark_of(rule)))
    one = tried_cases.ask(draft)
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.trying_alone", connection.settings_dict["NAME"]],
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "plant.config.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    one.refresh_from_db()
    assert (one.state, one.cases_done) == (KnowledgeTrial.State.TRIED, cases)
    return {**json.loads(done.stdout.splitlines()[-1]), "flips": one.cases.count()}


def test_a_draft_tried_on_ten_thousand_confirmed_cases(capsys):
    half, whole = took(CASES // 2), took(CASES)

    with capsys.disabled():
        print(
            f"\n{CASES} confirmed cases, {whole['flips']} flips: {whole['seconds']:.1f} s, "
            f"{whole['seconds'] / TARGET_S:.2f} of the {TARGET_S} s "
            f"({whole['busy_seconds']:.1f} s of computing here), "
            f"{whole['seconds'] / half['seconds']:.1f} times as long as half of them; "
            f"{whole['peak_mb']:.0f} MB of {MOST_MB:.0f}, "
            f"{whole['peak_mb'] - half['peak_mb']:.0f} MB more than half of them"
        )
