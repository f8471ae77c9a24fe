"""Several people on the telephone at once: one opens the case, nobody waits for ever."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from time import monotonic, sleep

import pytest
from django.db import connection, transaction

from diagnostics.models import Case, Complaint
from diagnostics.services import cases, complaints
from plant.models import Conveyor
from tests.diagnostics.factories import make_bare_conveyor, make_case, make_plant, take


def _all_at_once(count, what):
    """Each in a thread and a connection of its own, started together; refusals come back."""
    barrier = Barrier(count)

    def one(number):
        try:
            barrier.wait(timeout=20)
            return what(number)
        except complaints.OpenCasesUnseen as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(one, range(count)))


@pytest.mark.django_db(transaction=True)
def test_of_clerks_with_the_same_belt_on_the_telephone_one_opens_the_case():
    conveyor = make_bare_conveyor()

    outcomes = _all_at_once(4, lambda _number: take(Conveyor.objects.get(pk=conveyor.pk)))

    assert Case.objects.count() == 1
    assert sum(isinstance(one, Complaint) for one in outcomes) == 1
    assert sum(isinstance(one, complaints.OpenCasesUnseen) for one in outcomes) == 3


@pytest.mark.django_db(transaction=True)
def test_clerks_with_different_belts_of_a_plant_get_different_numbers_and_no_deadlock():
    plant = make_plant(code="LT")
    belts = [make_bare_conveyor(plant) for _ in range(5)]

    outcomes = _all_at_once(5, lambda number: take(Conveyor.objects.get(pk=belts[number].pk)))

    numbers = sorted(one.case.number for one in outcomes)
    assert numbers == [f"LT-C-000{number}" for number in range(1, 6)]


@pytest.mark.django_db(transaction=True)
def test_joining_a_case_never_waits_in_a_ring_with_work_raised_for_it():
    case = make_case(make_bare_conveyor())

    def join():
        try:
            return take(Conveyor.objects.get(pk=case.conveyor_id), join_case_id=case.pk)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool, transaction.atomic():
        cases.lock_case(case.pk)
        joined = pool.submit(join)
        _wait_until_somebody_waits()
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL lock_timeout = '5s'")
        # Whoever holds the case writes a row that names the conveyor, as raising work does.
        make_case(case.conveyor)
    assert joined.result(timeout=20).case_id == case.pk


def _wait_until_somebody_waits():
    until = monotonic() + 20
    while monotonic() < until:
        with connection.cursor() as cursor:
            # For us: tests beside this one wait on the same server.
            cursor.execute(
                "SELECT count(*) FROM pg_locks "
                "WHERE NOT granted AND pg_backend_pid() = ANY(pg_blocking_pids(pid))"
            )
            if cursor.fetchone()[0]:
                return
        sleep(0.02)
    pytest.fail("nobody waited for the case")
