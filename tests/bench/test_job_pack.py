"""What a window's pack takes: `pytest -m bench -s tests/bench/test_job_pack.py`.

Target: 40 jobs within 5 s, from the rows to the PDF, since somebody waits for it. Nothing is
asserted: machines differ.
"""

from datetime import timedelta

import pytest

from plant import typesetting
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, make_plant
from tests.workorders.factories import NOW
from tests.workorders.sheet_rows import make_approved, make_crew, make_window
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.selectors.job_papers.pack import pack_papers
from workorders.selectors.job_papers.sheet import Printing, sheet_values
from workorders.views.job_sheets import SHEET

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

TARGET_S = 5.0
JOBS = 40


@pytest.mark.parametrize("sign", ["", "\N{GRINNING FACE}"], ids=["plain", "signs the fonts lack"])
def test_pack_is_ready(benchmark, sign):
    plant = make_plant()
    belts = [make_complete_conveyor(plant, tag=f"Q{number}") for number in range(8)]
    window, crew = make_window(*belts), make_crew(plant)
    for number in range(JOBS):
        order = make_approved(belts[number % len(belts)], f"Square idlers {sign}")
        WorkOrder.objects.filter(pk=order.pk).update(
            state=OrderState.SCHEDULED,
            window=window,
            crew=crew,
            position_m=5.0 + number,
            planned_for=window.starts_at + timedelta(minutes=number),
        )
    printing = Printing(make_person(Role.PLANNER), NOW, lambda path: f"http://plant.example{path}")

    def pack() -> bytes:
        papers = pack_papers(window, None, printing)
        return typesetting.pdf_of(SHEET, sheet_values(window.name, papers), NOW)

    pdf = benchmark.pedantic(pack, rounds=3)

    took_s = benchmark.stats.stats.max
    print(f"\n{JOBS} jobs: {len(pdf) / 1e6:.1f} MB, slowest {took_s / TARGET_S:.2f} of the target")
