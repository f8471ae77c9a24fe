"""The puller of the README, as it stands there, against a site that really answers."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.feeds.writers import slots_taken
from workorders.models import WorkOrder
from workorders.order_states import OrderState

README = Path(__file__).parents[3] / "README.md"
PATIENCE_S = 60


def puller_of_the_readme() -> str:
    [program] = re.findall(r"^```python\n(.*?)^```$", README.read_text(), re.DOTALL | re.MULTILINE)
    return program


class Puller:
    """A process in a folder of its own, where it keeps its cursor and what it prints."""

    def __init__(self, site: str, secret: str, folder: Path) -> None:
        self._said = folder / "said"
        program = folder / "puller.py"
        program.write_text(puller_of_the_readme())
        with self._said.open("a") as said:
            self._process = subprocess.Popen(
                [sys.executable, str(program)],
                cwd=folder,
                env={**os.environ, "LOOPWRIGHT_SITE": site, "LOOPWRIGHT_KEY": secret},
                stdout=said,
                stderr=subprocess.STDOUT,
            )

    def kill(self) -> None:
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()

    def lines_with(self, words: str) -> list[str]:
        return [line for line in self._said.read_text().splitlines() if words in line]

    def until_it_says(self, words: str) -> None:
        give_up_at = time.monotonic() + PATIENCE_S
        while not self.lines_with(words):
            assert self._process.poll() is None, self._said.read_text()
            assert time.monotonic() < give_up_at, self._said.read_text()
            time.sleep(0.1)


def _end_waiting(order: WorkOrder) -> None:
    """The request of a killed puller waits on; it must not outlive the test's database."""
    WorkOrder.objects.filter(pk=order.pk).update(external_number="7")
    give_up_at = time.monotonic() + PATIENCE_S
    while slots_taken():
        assert time.monotonic() < give_up_at
        time.sleep(0.1)


@pytest.mark.django_db(transaction=True)
def test_the_puller_survives_a_restart_and_misses_nothing(live_server: Any, tmp_path: Path) -> None:
    plant = register.make_plant(code="LT")
    _key, secret = factories.make_key(plant)
    order = factories.make_order(
        factories.make_accepted_cause(factories.make_case(register.make_conveyor(plant)))
    )
    first = Puller(live_server.url, secret, tmp_path)
    try:
        first.until_it_says(f"added {order.number} proposed")
    finally:
        first.kill()

    factories.bring_to(order, OrderState.APPROVED)
    second = Puller(live_server.url, secret, tmp_path)
    try:
        second.until_it_says(f"changed {order.number} approved")
        WorkOrder.objects.filter(pk=order.pk).update(state="cancelled")
        second.until_it_says(f"changed {order.number} cancelled")
    finally:
        second.kill()
    _end_waiting(order)

    assert second.lines_with("trouble") == []
    told = [line.split(maxsplit=1)[1] for line in second.lines_with(order.number)]
    # Killed before it had kept how far it was, it may have been told of the first one again.
    assert list(dict.fromkeys(told)) == [
        f"added {order.number} proposed",
        f"changed {order.number} approved",
        f"changed {order.number} cancelled",
    ]
