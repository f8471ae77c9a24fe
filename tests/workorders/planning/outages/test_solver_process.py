"""The solver is a program of its own: its end is not the end of whoever asked it."""

import os
import subprocess
import sys
import time

import psutil
import pytest

from tests.workorders.planning.outages.instance import HORIZON, make_plan
from tests.workorders.planning.outages.test_proposal_running import what_is_wrong
from workorders.planning.outages.plan import Plan
from workorders.planning.outages.proposal import propose
from workorders.planning.outages.proposing import solver_process

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def large() -> Plan:
    return make_plan(jobs=120)[0]


def solvers_of(parent: int) -> list[psutil.Process]:
    return [one for one in psutil.Process(parent).children() if is_solver(one)]


def is_solver(process: psutil.Process) -> bool:
    try:
        return process.cmdline()[-1:] == [solver_process.PROGRAM]
    except psutil.ZombieProcess:
        return False


def test_a_solver_that_dies_at_work_costs_what_it_would_have_found(large, caplog):
    solver_process.end_idle()
    killed = []

    def kill_the_first(progress) -> bool:
        if not killed:
            for one in solvers_of(os.getpid()):
                one.kill()
                killed.append(one.pid)
        return True

    proposal = propose(large, HORIZON, seconds=8, tick=kill_the_first)

    assert killed
    assert "The solver ended by itself" in caplog.text
    assert what_is_wrong(large, proposal) == []
    assert len(proposal.placements) > 60
    assert solvers_of(os.getpid()), "the next question was put to a new program"


def test_one_program_answers_question_after_question(large):
    propose(large, HORIZON, seconds=2)
    first = [one.pid for one in solvers_of(os.getpid())]

    propose(large, HORIZON, seconds=2)

    assert [one.pid for one in solvers_of(os.getpid())] == first


def test_the_program_ends_with_whoever_asked_however_busy_it_is():
    asking = (
        "from tests.workorders.planning.outages.instance import HORIZON, make_plan\n"
        "from workorders.planning.outages.proposal import propose\n"
        "propose(make_plan(jobs=120)[0], HORIZON, seconds=20)\n"
    )
    asker = subprocess.Popen([sys.executable, "-c", asking])
    until = time.monotonic() + 30
    while not (solvers := solvers_of(asker.pid)) and time.monotonic() < until:
        time.sleep(0.1)
    assert solvers, "the question was not put within half a minute"

    asker.kill()
    asker.wait()

    _gone, alive = psutil.wait_procs(solvers, timeout=20)
    assert alive == []
