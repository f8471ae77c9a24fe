"""A plant's report is made by itself on its day, each month once, and mailed to who is set."""

from datetime import UTC, datetime, timedelta
from smtplib import SMTPServerDisconnected
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from plant.models import Plant, User
from plant.roles import Role
from plant.services.claiming import MOST_BEGINNINGS
from tests.workorders.factories import make_person, make_plant
from tests.workorders.month_report.rows import ask
from workorders.models import MonthlyReport, MonthlyReportMail, MonthlyReportSetting
from workorders.month import Month
from workorders.month_report_shown import paper
from workorders.services.month_reports import asking, mailing, making, scheduling
from workorders.services.month_reports.scheduling import Wanted

pytestmark = pytest.mark.django_db

MID_OCTOBER = datetime(2026, 10, 15, 12, tzinfo=UTC)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Any:
    def show(moment: datetime) -> None:
        monkeypatch.setattr(timezone, "now", lambda: moment)

    show(MID_OCTOBER)
    monkeypatch.setattr(paper, "pdf_of", lambda _told: b"%PDF-1.7 set")
    return show


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def lead(plant: Plant) -> User:
    person = make_person(Role.LEAD, plant)
    User.objects.filter(pk=person.pk).update(email="lead@larkwater.example")
    person.refresh_from_db()
    return person


def switch_on(plant: Plant, *people: User, day: int = 3, seen: int = 0) -> MonthlyReportSetting:
    return scheduling.set_schedule(
        plant=plant, wanted=Wanted(True, day, people), seen=seen, by=None, now=timezone.now()
    )


def months() -> list[str]:
    rows = MonthlyReport.objects.filter(is_scheduled=True).order_by("month_on")
    return [one.month.code for one in rows]


def test_it_is_owed_on_its_day_in_the_plants_time_and_once(plant, clock):
    switch_on(plant)
    # Three hours behind: the second of November until three in the morning.
    clock(datetime(2026, 11, 3, 2, 59, tzinfo=UTC))
    assert scheduling.owe_due() == 0

    clock(datetime(2026, 11, 3, 4, 1, tzinfo=UTC))
    assert scheduling.owe_due() == 1
    assert scheduling.owe_due() == 0

    assert months() == ["2026-10"]


def test_missed_months_are_made_up_for(plant, clock):
    switch_on(plant)
    clock(datetime(2027, 2, 10, tzinfo=UTC))

    assert scheduling.owe_due() == 4

    assert months() == ["2026-10", "2026-11", "2026-12", "2027-01"]


def test_after_a_very_long_time_only_the_last_year_is_made_up_for(plant, clock):
    switch_on(plant)
    clock(datetime(2029, 2, 10, tzinfo=UTC))

    assert scheduling.owe_due() == scheduling.MOST_CAUGHT_UP
    assert months()[-1] == "2029-01"


@pytest.mark.parametrize(("day", "begins"), [(20, "2026-09"), (15, "2026-09"), (14, "2026-10")])
def test_switched_on_before_its_day_it_begins_with_the_month_before(plant, clock, day, begins):
    assert Month.of(switch_on(plant, day=day).begins_on).code == begins


def test_switched_off_nothing_is_made_and_on_again_nothing_made_up(plant, clock):
    switch_on(plant)
    off = Wanted(False, 3)
    scheduling.set_schedule(plant=plant, wanted=off, seen=1, by=None, now=MID_OCTOBER)
    clock(datetime(2027, 2, 10, tzinfo=UTC))
    assert scheduling.owe_due() == 0

    switch_on(plant, seen=2)

    assert scheduling.owe_due() == 0
    clock(datetime(2027, 3, 10, tzinfo=UTC))
    assert scheduling.owe_due() == 1
    assert months() == ["2027-02"]


def test_a_report_that_somebody_deleted_does_not_come_back(plant, clock):
    switch_on(plant)
    clock(datetime(2026, 11, 10, tzinfo=UTC))
    scheduling.owe_due()
    making.do_owed()

    asking.delete(report_id=MonthlyReport.objects.get().pk)

    assert scheduling.owe_due() == 0


def test_one_that_is_just_being_asked_for_is_the_months_own(plant, clock):
    switch_on(plant)
    clock(datetime(2026, 11, 10, tzinfo=UTC))
    asked = ask(plant, Month(2026, 10))

    assert scheduling.owe_due() == 1

    assert MonthlyReport.objects.get() == asked
    assert months() == ["2026-10"]


def test_of_two_who_set_it_the_second_is_told(plant, clock):
    switch_on(plant)

    with pytest.raises(scheduling.ReportSettingChanged):
        switch_on(plant, day=5, seen=0)

    assert MonthlyReportSetting.objects.get().day == 3


@pytest.mark.parametrize("day", [0, 29])
def test_a_day_that_not_every_month_has_is_refused(plant, clock, day):
    with pytest.raises(scheduling.DayNotInEveryMonth):
        switch_on(plant, day=day)


def test_it_goes_to_nobody_of_another_plant(plant, clock):
    stranger = make_person(Role.LEAD, make_plant())

    with pytest.raises(scheduling.RecipientIsNobodyHere, match=stranger.username):
        switch_on(plant, stranger)

    assert not MonthlyReportSetting.objects.exists()


def send_for_october(clock: Any) -> int:
    clock(datetime(2026, 11, 10, tzinfo=UTC))
    scheduling.owe_due()
    making.do_owed()
    return mailing.send_owed()


def test_it_is_mailed_once_with_the_file(plant, lead, clock, settings):
    settings.SITE_ADDRESS = "https://belts.larkwater.example"
    switch_on(plant, lead)

    assert send_for_october(clock) == 1
    assert mailing.send_owed() == 0

    [sent] = mail.outbox
    assert sent.to == ["lead@larkwater.example"]
    assert sent.subject == "Larkwater Terminal: belts in October 2026"
    assert "No case was opened" in sent.body
    assert "https://belts.larkwater.example/trends/monthly/reports/" in sent.body
    assert sent.attachments == [("LT-2026-10.pdf", b"%PDF-1.7 set", "application/pdf")]


def test_what_was_asked_for_by_hand_is_mailed_to_nobody(plant, lead, clock):
    switch_on(plant, lead)

    ask(plant, Month(2026, 9))
    making.do_owed()

    assert mailing.send_owed() == 0


def test_an_invented_plant_mails_nobody(plant, lead, clock):
    Plant.objects.filter(pk=plant.pk).update(is_demo=True)
    switch_on(plant, lead)

    assert send_for_october(clock) == 0


@pytest.mark.parametrize("left", ["plant", "role", "address", "account"])
def test_who_has_left_meanwhile_gets_no_mail(plant, lead, clock, left):
    switch_on(plant, lead)
    clock(datetime(2026, 11, 10, tzinfo=UTC))
    scheduling.owe_due()
    making.do_owed()
    if left == "plant":
        lead.plants.clear()
    elif left == "role":
        lead.groups.clear()
    else:
        gone = {"address": {"email": ""}, "account": {"is_active": False}}[left]
        User.objects.filter(pk=lead.pk).update(**gone)

    assert mailing.send_owed() == 0
    assert MonthlyReportMail.objects.get().refusal == "left_the_plant"
    assert mail.outbox == []


def test_a_mail_that_failed_is_tried_again_after_a_pause(plant, lead, clock, monkeypatch):
    switch_on(plant, lead)

    def fails(_message: Any) -> int:
        raise SMTPServerDisconnected

    with monkeypatch.context() as broken:
        broken.setattr("django.core.mail.EmailMessage.send", fails)
        assert send_for_october(clock) == 0
    assert mailing.send_owed() == 0

    clock(datetime(2026, 11, 10, tzinfo=UTC) + timedelta(minutes=6))

    assert mailing.send_owed() == 1
    assert len(mail.outbox) == 1


def test_a_failed_report_made_again_is_mailed(plant, lead, clock):
    switch_on(plant, lead)
    clock(datetime(2026, 11, 10, tzinfo=UTC))
    scheduling.owe_due()
    MonthlyReport.objects.update(times_begun=MOST_BEGINNINGS)
    making.do_owed()
    report = MonthlyReport.objects.get()
    assert report.state == MonthlyReport.State.FAILED

    asking.make_again(report_id=report.pk, by=None, now=timezone.now())
    making.do_owed()

    assert mailing.send_owed() == 1


def test_a_mail_that_cannot_be_written_is_tried_again_and_keeps_no_other_back(
    plant, lead, clock, monkeypatch
):
    planner = make_person(Role.PLANNER, plant)
    User.objects.filter(pk=planner.pk).update(email="planner@larkwater.example")
    switch_on(plant, lead, planner)
    wording = mailing.words.headline
    fails = iter([True])

    def headline(told: Any) -> list[str]:
        if next(fails, False):
            raise ValueError("no such figure")
        return wording(told)

    monkeypatch.setattr(mailing.words, "headline", headline)

    assert send_for_october(clock) == 1
    clock(datetime(2026, 11, 10, tzinfo=UTC) + timedelta(minutes=6))
    assert mailing.send_owed() == 1
    assert sorted(sent.to[0] for sent in mail.outbox) == [
        "lead@larkwater.example",
        "planner@larkwater.example",
    ]
