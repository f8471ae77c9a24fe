"""Two workers send the mails of one report: each person gets one."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.core import mail
from django.db import connection

from plant import access
from plant.models import User
from plant.roles import Role
from tests.workorders.factories import make_person, make_plant
from tests.workorders.month_report.rows import kept
from workorders.models import MonthlyReport
from workorders.services.month_reports import mailing, scheduling
from workorders.services.month_reports.scheduling import Wanted

pytestmark = pytest.mark.django_db(transaction=True)


def test_while_one_worker_takes_up_a_mail_another_leaves_it(monkeypatch: pytest.MonkeyPatch):
    plant = make_plant()
    lead = make_person(Role.LEAD, plant)
    User.objects.filter(pk=lead.pk).update(email="lead@larkwater.example")
    report = kept(plant)
    MonthlyReport.objects.filter(pk=report.pk).update(is_scheduled=True)
    wanted = Wanted(is_on=True, day=3, recipients=[lead])
    scheduling.set_schedule(plant=plant, wanted=wanted, seen=0, by=None, now=report.asked_at)
    report.refresh_from_db()
    mailing.owe(report)
    plants_of, sent_beside = access.plants_of, []

    def and_another_worker_comes(user: Any) -> Any:
        monkeypatch.setattr(access, "plants_of", plants_of)
        with ThreadPoolExecutor(1) as other:
            sent_beside.append(other.submit(send).result(timeout=20))
        return plants_of(user)

    def send() -> int:
        try:
            return mailing.send_owed()
        finally:
            connection.close()

    monkeypatch.setattr(access, "plants_of", and_another_worker_comes)

    assert mailing.send_owed() == 1
    assert sent_beside == [0]
    assert len(mail.outbox) == 1
