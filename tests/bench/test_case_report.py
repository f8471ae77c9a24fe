"""What a report takes: `pytest -m bench -s tests/bench/test_case_report.py`.

Target: ready within 3 s, from the rows to the PDF, also of a case with 200 looks, six photos and
long notes. Nothing is asserted: machines differ.
"""

import pytest

from diagnostics.services import diagnosing
from plant.models import User
from plant.roles import Role
from tests.diagnostics.case_report import reports
from tests.diagnostics.factories import (
    later,
    make_conveyor,
    make_person,
    make_walk_down,
    take,
    walk_with_trouble_on_return,
)

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

TARGET_S = 3.0


@pytest.fixture
def reader() -> User:
    return make_person(Role.TECHNICIAN)


@pytest.mark.parametrize("size", ["short", "long", "long, with signs the fonts lack"])
def test_report_is_ready(benchmark, reader, settings, tmp_path, size):
    settings.MEDIA_ROOT = str(tmp_path)
    case = take(make_conveyor()).case
    walk_with_trouble_on_return(case)
    if size != "short":
        sign = "\N{GRINNING FACE}" if "lack" in size else ""
        reports.look_often(case, 200, note=f"spills {sign}" * 40)
        make_walk_down(case, note="y" * 10_000)
        reports.take_photos(case, 6)
    diagnosing.diagnose_case(case_id=case.pk, now=later(hours=2))

    pdf = benchmark.pedantic(reports.pdf_of, (case, reader), rounds=3)

    took_s = benchmark.stats.stats.max
    print(f"\n{size}: {len(pdf) / 1e3:.0f} kB, slowest {took_s / TARGET_S:.2f} of the target")
