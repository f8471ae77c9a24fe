"""What a search takes: `pytest -m bench -s tests/bench/test_knowledge_search.py`.

Target: under 100 ms over 10,000 past cases and the installed knowledge, from the typed words to the
first page with what matched. Nothing is asserted: machines differ. Beside the time on the clock
stands the work of this process and of the database's, which a busy machine stretches less.
"""

import os
import random
import time
from pathlib import Path

import pytest
from django.db import connection

from diagnostics import knowledge_files
from diagnostics.inference.search_words import asked_of
from diagnostics.models import Case, Complaint, Finding, SearchEntry, SearchOwed, WalkDown
from diagnostics.selectors import search_parts, searching
from diagnostics.selectors.search_parts import Scope
from diagnostics.services import filling_search
from plant.models import Conveyor
from tests.diagnostics.factories import NOW, make_bare_conveyor

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

TARGET_S = 0.1
CASES = 10_000
ROUNDS = 9
# A phrase of the trade, a slip, rare and common words, many words, a beginning, nothing.
ASKED = (
    "wanders at the tail",
    "sqeual",
    "lagging worn",
    "roller does not turn",
    "belt off",
    "material chute pulley return idler head tail bearing loose",
    "lagg",
    "xylophone",
)


def tell_stories(conveyor: Conveyor) -> None:
    """Cases told in the words of the catalogue, about a hundred words each."""
    dice = random.Random(7)
    causes = list(knowledge_files.current().causes.values())
    words = [word for one in causes for word in f"{one.shows} {one.correct}".split()]

    def said(count: int) -> str:
        return " ".join(dice.choices(words, k=count))

    cases = Case.objects.bulk_create(
        [
            Case(
                conveyor=conveyor, number=f"B-{number}", summary=said(8)[:200], opened_at=NOW,
                cause=dice.choice(causes).slug,
            )
            for number in range(CASES)
        ],
        batch_size=1000,
    )  # fmt: skip
    shared = {"batch_size": 1000}
    Complaint.objects.bulk_create(
        [
            Complaint(
                plant=conveyor.plant, conveyor=conveyor, case=one, words=said(35), received_at=NOW
            )
            for one in cases
        ],
        **shared,
    )
    WalkDown.objects.bulk_create(
        [WalkDown(case=one, started_at=NOW, cautions_read_at=NOW, note=said(35)) for one in cases],
        **shared,
    )
    Finding.objects.bulk_create(
        [
            Finding(case=one, cause=one.cause, is_present=True, found_at=NOW, note=said(25))
            for one in cases
        ],
        **shared,
    )


def _worked_s() -> float:
    """Seconds of processor that this process and its database backend have used."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        (backend,) = cursor.fetchone()
    stat = Path(f"/proc/{backend}/stat")
    if not stat.exists():
        return time.process_time()
    # The name of the process is in brackets and may hold spaces; user and system time follow.
    fields = stat.read_text().rpartition(")")[2].split()
    return time.process_time() + sum(map(int, fields[11:13])) / os.sysconf("SC_CLK_TCK")


def test_searches_over_ten_thousand_cases() -> None:
    conveyor = make_bare_conveyor()
    tell_stories(conveyor)
    owed = SearchOwed.objects.count()
    started = time.perf_counter()
    while filling_search.fill_owed():
        pass
    print(f"\n{owed} changes of {CASES} cases read in {time.perf_counter() - started:.1f} s")
    scope = Scope(filling_search.fill_shelf(knowledge_files.library()), [conveyor.plant_id])
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE diagnostics_searchentry")
        cursor.execute("ANALYZE diagnostics_searchword")

    for typed in ASKED:
        times, worked = [], _worked_s()
        for _ in range(ROUNDS):
            started = time.perf_counter()
            found = searching.found_page(scope, typed, None, None, 20)
            times.append(time.perf_counter() - started)
        times.sort()
        shares = [times[place] / TARGET_S for place in (0, ROUNDS // 2, -1)]
        told = ", ".join(f"{share:.2f}" for share in shares)
        work = (_worked_s() - worked) / ROUNDS / TARGET_S
        print(
            f"{typed!r}: {found.total} found; best, median, slowest of the target: {told}", end=""
        )
        print(f"; work {work:.2f}")

    (query,) = search_parts._queries(asked_of("camber", search_parts.synonym_files.current()))
    print(SearchEntry.objects.filter(words=query).values("pk").explain())
