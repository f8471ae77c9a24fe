"""The pages of files for other systems: administrators of the plant only."""

from http import HTTPStatus
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import ExchangeCursor, ExchangeRun, ExchangeSetting, Plant
from plant.roles import Role
from plant.services.exchange import asking, running
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.exchange_rows import names, set_up
from tests.workorders.pages import client_of

pytestmark = pytest.mark.django_db
FORM: dict[str, Any] = {
    "name": "Stores system",
    "folder": "stores",
    "feeds": ["work_orders", "cases"],
    "format": "csv",
    "every_minutes": "15",
    "is_on": "on",
}


@pytest.fixture
def admin(plant: Plant) -> Client:
    return client_of(Role.ADMINISTRATOR, plant)


def text(client: Client, name: str, *args: Any) -> str:
    response = client.get(reverse(name, args=args))
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.ADMINISTRATOR])
def test_only_administrators_come_in(plant: Plant, role: Role) -> None:
    client = client_of(role, plant)

    assert client.get(reverse("exchange-list")).status_code == HTTPStatus.FORBIDDEN
    assert client.post(reverse("exchange-new"), FORM).status_code == HTTPStatus.FORBIDDEN


def test_the_page_says_how_to_turn_files_on_and_what_to_do_first(
    admin: Client, settings: Any
) -> None:
    settings.LOOPWRIGHT_EXCHANGE = ""
    page = text(admin, "exchange-list")

    assert "LOOPWRIGHT_EXCHANGE" in page
    assert "No system gets files yet" in page


def test_a_system_is_set_up_run_and_read(root: Path, plant: Plant, admin: Client) -> None:
    factories.make_order_by_hand(factories.make_conveyor(plant))
    sent = {**FORM, "plant": plant.pk, "begins_with_all": "on"}
    response = admin.post(reverse("exchange-new"), sent)
    setting = ExchangeSetting.objects.get()
    assert response["Location"] == reverse("exchange", args=[setting.pk])
    assert "the next run writes all that stands" in text(admin, "exchange", setting.pk)

    asked = admin.post(reverse("exchange-ask", args=[setting.pk]))
    run = ExchangeRun.objects.get()
    assert asked["Location"] == reverse("exchange-run", args=[run.pk])
    assert "taken up within seconds" in text(admin, "exchange-run", run.pk)
    running.do_owed()

    page = text(admin, "exchange-run", run.pk)
    for name in names(root, setting):
        assert name in page
    assert len(names(root, setting)) == 2
    progress = admin.get(reverse("exchange-run-progress", args=[run.pk]))
    assert progress["HX-Refresh"] == "true"


@pytest.mark.parametrize(
    ("instead", "field", "status"),
    [
        ({"folder": "../secret"}, "folder", HTTPStatus.CONFLICT),
        ({"folder": "a\x00b"}, "folder", HTTPStatus.BAD_REQUEST),
        ({"every_minutes": "0"}, "every_minutes", HTTPStatus.BAD_REQUEST),
        ({"every_minutes": "99999999999"}, "every_minutes", HTTPStatus.BAD_REQUEST),
        ({"daily_at": "05:00"}, "every_minutes", HTTPStatus.CONFLICT),
        ({"feeds": []}, "feeds", HTTPStatus.CONFLICT),
        ({"feeds": ["people"]}, "feeds", HTTPStatus.BAD_REQUEST),
        ({"format": "xlsx"}, "format", HTTPStatus.BAD_REQUEST),
        ({"name": ""}, "name", HTTPStatus.BAD_REQUEST),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_kept(
    plant: Plant, admin: Client, instead: dict[str, Any], field: str, status: int
) -> None:
    response = admin.post(reverse("exchange-new"), {**FORM, "plant": plant.pk, **instead})

    assert response.status_code == status
    assert field in response.context["form"].errors
    assert not ExchangeSetting.objects.exists()


def test_a_plant_of_others_cannot_be_chosen(admin: Client) -> None:
    other = register.make_plant()

    response = admin.post(reverse("exchange-new"), {**FORM, "plant": other.pk})

    assert response.status_code == HTTPStatus.BAD_REQUEST


def test_a_form_opened_before_a_change_is_told_so(plant: Plant, admin: Client) -> None:
    setting = set_up(plant)
    address = reverse("exchange-change", args=[setting.pk])
    first = admin.post(address, {**FORM, "seen": setting.version})
    assert first.status_code == HTTPStatus.FOUND

    second = admin.post(address, {**FORM, "name": "Other", "seen": setting.version})

    assert second.status_code == HTTPStatus.CONFLICT
    assert "Somebody changed this" in second.content.decode()
    setting.refresh_from_db()
    assert setting.name == "Stores system"
    # Having seen it, pressing again stands.
    seen = second.context["form"]["seen"].value()
    again = admin.post(address, {**FORM, "name": "Other", "seen": seen})
    assert again.status_code == HTTPStatus.FOUND


def test_a_lost_place_is_shown_and_begun_anew_after_asking(plant: Plant, admin: Client) -> None:
    setting = set_up(plant)
    ExchangeCursor.objects.update(lost_at=timezone.now())
    assert "no longer kept. Begin anew" in text(admin, "exchange", setting.pk)
    address = reverse("exchange-anew", args=[setting.pk, "work_orders"])

    assert "takes the snapshot for the whole truth" in admin.get(address).content.decode()
    assert admin.post(address).status_code == HTTPStatus.FOUND

    cursor = ExchangeCursor.objects.get()
    assert (cursor.owes_snapshot, cursor.lost_at) == (True, None)
    elsewhere = reverse("exchange-anew", args=[setting.pk, "cases"])
    assert admin.post(elsewhere).status_code == HTTPStatus.NOT_FOUND


def test_ending_asks_first(plant: Plant, admin: Client) -> None:
    setting = set_up(plant)
    address = reverse("exchange-end", args=[setting.pk])

    assert "No more files for Stores system?" in admin.get(address).content.decode()
    admin.post(address)

    assert not ExchangeSetting.objects.exists()


def test_a_run_nobody_took_up_is_stopped_at_once(root: Path, plant: Plant, admin: Client) -> None:
    setting = set_up(plant)
    run = asking.ask(setting_id=setting.pk, by=None, now=timezone.now())

    admin.post(reverse("exchange-run-stop", args=[run.pk]))

    run.refresh_from_db()
    assert run.state == ExchangeRun.State.STOPPED
    assert "stopped" in text(admin, "exchange-run", run.pk)


def test_the_list_asks_the_same_of_the_database_however_long(
    plant: Plant, admin: Client, django_assert_num_queries: Any
) -> None:
    set_up(plant)
    admin.get(reverse("exchange-list"))
    with django_assert_num_queries(QUERIES_OF_THE_LIST):
        admin.get(reverse("exchange-list"))
    for number in range(5):
        set_up(plant, name=f"System {number}", folder=f"s{number}")
    with django_assert_num_queries(QUERIES_OF_THE_LIST):
        admin.get(reverse("exchange-list"))


QUERIES_OF_THE_LIST = 7
