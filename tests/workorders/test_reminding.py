"""People are reminded by mail of each fact once, at their hour, of what they asked for."""

from datetime import UTC, datetime, time, timedelta
from smtplib import SMTPServerDisconnected
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from plant.models import User
from plant.roles import Role
from tests.workorders.factories import make_conveyor, make_person, make_plant
from tests.workorders.sheet_rows import make_approved
from workorders.attention import AttentionKind
from workorders.models import Reminder, ReminderWish, WorkOrder
from workorders.order_states import Waiting
from workorders.services import reminding, waiting

# Eight in the morning at Halifax.
MORNING = datetime(2026, 11, 28, 12, tzinfo=UTC)

pytestmark = pytest.mark.django_db


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Any:
    def show(moment: datetime) -> None:
        monkeypatch.setattr(timezone, "now", lambda: moment)

    show(MORNING)
    return show


@pytest.fixture
def planner() -> User:
    person = make_person(Role.PLANNER, make_plant(name="Larkwater Terminal"))
    User.objects.filter(pk=person.pk).update(email="planner@larkwater.example")
    person.refresh_from_db()
    return person


def _overdue(person: User, title: str = "Square idlers") -> WorkOrder:
    order = make_approved(make_conveyor(person.plants.get()), title=title)
    WorkOrder.objects.filter(pk=order.pk).update(due_on=MORNING.date() - timedelta(days=1))
    return order


def test_a_planner_is_told_of_an_overdue_order_once(clock: Any, planner: User):
    order = _overdue(planner)

    assert reminding.send_due() == 1
    assert reminding.send_due() == 0
    clock(MORNING + timedelta(days=1))
    assert reminding.send_due() == 0

    [sent] = mail.outbox
    assert sent.to == ["planner@larkwater.example"]
    assert sent.subject == "Larkwater Terminal: 1 order wants attention"
    assert order.number in sent.body
    assert "Square idlers" in sent.body


def test_a_due_day_that_was_moved_and_missed_again_is_told_again(clock: Any, planner: User):
    order = _overdue(planner)
    reminding.send_due()
    WorkOrder.objects.filter(pk=order.pk).update(due_on=MORNING.date())

    clock(MORNING + timedelta(days=1))
    reminding.send_due()

    assert len(mail.outbox) == 2


def test_a_wait_for_parts_is_told_of_with_its_reason(clock: Any, planner: User):
    order = make_approved(make_conveyor(planner.plants.get()))
    waiting.start_waiting(
        order_id=order.pk, waiting_for=Waiting.PARTS, why="six rolls", by=None, now=MORNING
    )

    reminding.send_due()

    assert "six rolls" in mail.outbox[0].body


@pytest.mark.parametrize("at", [time(8), time(9)])
def test_nobody_is_written_to_before_their_hour_in_the_plants_time(
    clock: Any, planner: User, at: time
):
    _overdue(planner)
    kinds = [AttentionKind.OVERDUE]
    reminding.wish(user=planner, plant=planner.plants.get(), kinds=kinds, at=at)

    assert reminding.send_due() == (1 if at == time(8) else 0)


def test_who_wants_no_mail_gets_none(clock: Any, planner: User):
    _overdue(planner)
    reminding.wish(user=planner, plant=planner.plants.get(), kinds=[], at=time(6))

    assert reminding.send_due() == 0


@pytest.mark.parametrize("fields", [{"is_active": False}, {"email": ""}])
def test_who_has_left_or_has_no_address_gets_none(
    clock: Any, planner: User, fields: dict[str, Any]
):
    _overdue(planner)
    User.objects.filter(pk=planner.pk).update(**fields)

    assert reminding.send_due() == 0


def test_who_has_no_role_any_more_gets_none_even_with_a_wish(clock: Any, planner: User):
    _overdue(planner)
    kinds = list(AttentionKind)
    reminding.wish(user=planner, plant=planner.plants.get(), kinds=kinds, at=time(6))
    planner.groups.clear()

    assert reminding.send_due() == 0


def test_an_invented_plant_writes_to_nobody(clock: Any, planner: User):
    _overdue(planner)
    planner.plants.update(is_demo=True)

    assert reminding.send_due() == 0


def test_another_plants_orders_are_not_told(clock: Any, planner: User):
    _overdue(make_person(Role.PLANNER, make_plant()))

    assert reminding.send_due() == 0


def test_a_mail_that_failed_is_sent_later_and_once(
    clock: Any, planner: User, monkeypatch: pytest.MonkeyPatch
):
    _overdue(planner)

    def breaks(*_args: Any, **_named: Any) -> int:
        raise SMTPServerDisconnected("gone")

    with monkeypatch.context() as broken:
        broken.setattr(reminding, "send_mail", breaks)
        assert reminding.send_due() == 0
    assert not Reminder.objects.exists()
    assert reminding.send_due() == 0

    clock(MORNING + timedelta(minutes=6))

    assert reminding.send_due() == 1
    assert reminding.send_due() == 0
    assert ReminderWish.objects.get().tries == 0


def test_links_stand_in_the_mail_when_the_site_knows_its_address(
    clock: Any, planner: User, settings: Any
):
    settings.SITE_ADDRESS = "https://belts.example"
    order = _overdue(planner)

    reminding.send_due()

    assert f"https://belts.example/work/{order.number}/" in mail.outbox[0].body


def test_a_very_long_list_is_cut_and_says_so(clock: Any, planner: User):
    conveyor = make_conveyor(planner.plants.get())
    for number in range(reminding.MOST_LINES + 2):
        make_approved(conveyor, title=f"Job {number}")
    WorkOrder.objects.update(due_on=MORNING.date() - timedelta(days=1))

    reminding.send_due()

    assert "And 2 more" in mail.outbox[0].body
    assert Reminder.objects.count() == reminding.MOST_LINES + 2
