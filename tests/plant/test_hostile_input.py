"""What nobody types by accident must be refused, not break the site."""

from datetime import UTC, datetime

import pytest
from django.contrib.auth.models import Group
from django.test import Client, RequestFactory

from plant.models import ApiKey, Conveyor, User
from plant.roles import Role
from plant.services import keys
from tests.plant.factories import make_complete_conveyor, make_person, signed_in
from tests.workorders.factories import make_order_by_hand

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor()


def person(conveyor: Conveyor, role: Role) -> Client:
    return signed_in(make_person(role, plants=[conveyor.plant]))


def api(conveyor: Conveyor) -> dict[str, str]:
    scopes = [ApiKey.Scope.WORK_ORDERS_READ, ApiKey.Scope.COMPLAINTS_WRITE]
    _key, secret = keys.make_key(
        name="test", plant=conveyor.plant, scopes=scopes, expires_at=None, by=None, now=NOW
    )
    return {"authorization": f"Api-Key {secret}"}


@pytest.mark.parametrize("when", ["9999-12-31T23:59", "2190-01-01T00:00", "0001-01-01T00:00"])
def test_order_is_not_planned_for_the_end_of_the_calendar(when: str):
    order = make_order_by_hand()
    planner = User.objects.create_user("planner@larkwater.example")
    planner.groups.add(Group.objects.get(name=Role.PLANNER.value))
    planner.plants.add(order.conveyor.plant)

    answer = signed_in(planner).post(
        f"/work/{order.number}/move/",
        {"to_state": "scheduled", "planned_for": when, "version": order.version},
    )

    order.refresh_from_db()
    assert answer.status_code in {400, 409}
    assert order.planned_for is None


@pytest.mark.parametrize("length", [151, 403, 20_000])
def test_sign_in_with_an_endless_name_is_a_wrong_name(client: Client, length: int):
    answer = client.post("/sign-in/", {"username": "x" * length, "password": "y"})

    assert answer.status_code in {200, 400, 422}
    assert "do not belong together" in answer.content.decode()


def test_cookie_that_no_text_can_hold_is_no_session(client: Client):
    answer = client.get("/", headers={"cookie": 'sessionid="\\000aaaaaaaaaa"'})

    assert answer.status_code == 302
    assert "/sign-in/" in answer["Location"]


def test_sign_in_that_leads_to_itself_leads_to_today(conveyor: Conveyor):
    answer = person(conveyor, Role.CLERK).get("/sign-in/?next=/sign-in/")

    assert (answer.status_code, answer["Location"]) == (302, "/")


@pytest.mark.parametrize("limit", ["000000200999", "00000005099999999999999999999", "201", "0"])
def test_api_limit_is_what_it_says(conveyor: Conveyor, client: Client, limit: str):
    answer = client.get(f"/api/v1/work-orders?limit={limit}", headers=api(conveyor))

    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize(
    "cursor",
    [
        "MjAyNi0wMS0wMVQwMDowMDowMCsyMzo1OXwx",  # 2026-01-01T00:00:00+23:59|1
        "MDAwMS0wMS0wMVQwMDowMDowMCsyMzo1OXwx",  # 0001-01-01T00:00:00+23:59|1
        "nonsense",
    ],
)
def test_api_cursor_of_odd_offsets_is_no_failure(conveyor: Conveyor, client: Client, cursor: str):
    answer = client.get(f"/api/v1/work-orders?cursor={cursor}", headers=api(conveyor))

    assert answer.status_code in {200, 400}


def test_half_a_character_is_refused_as_a_problem(conveyor: Conveyor, client: Client):
    answer = client.post(
        "/api/v1/complaints",
        data=b'{"words": "rubs", "how_bad": "\\ud800"}',
        content_type="application/json",
        headers=api(conveyor),
    )

    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("field", ["belt", "join", "seen"])
def test_endless_keys_in_a_complaint_are_refused(conveyor: Conveyor, field: str):
    filled = {"words": "rubs", "how_bad": "rubbing", "belt": str(conveyor.pk), "join": "new"}

    answer = person(conveyor, Role.CLERK).post("/complaints/new/", {**filled, field: "9" * 5000})

    assert answer.status_code < 500


def test_trend_address_that_no_text_can_hold_is_not_found(conveyor: Conveyor):
    lead = person(conveyor, Role.LEAD)

    for address in ("/conveyors/LT/%00/trend/", "/conveyors/%00/x/trend/"):
        assert lead.get(address).status_code == 404


def test_retired_conveyor_takes_no_complaint(conveyor: Conveyor):
    Conveyor.objects.filter(pk=conveyor.pk).update(retired_on=NOW.date())

    answer = person(conveyor, Role.CLERK).post(
        "/complaints/new/",
        {"words": "rubs", "how_bad": "rubbing", "belt": str(conveyor.pk), "join": ""},
    )

    assert answer.status_code in {400, 409}
    assert conveyor.complaints.count() == 0


def test_sheet_of_a_signed_in_person_is_not_kept_by_the_browser(conveyor: Conveyor):
    answer = person(conveyor, Role.CLERK).get("/")

    assert "no-store" in answer["Cache-Control"]


@pytest.mark.parametrize("charset", ["hex", "rot13", "undefined", "no-such", "utf-16"])
def test_a_codec_named_in_a_header_breaks_no_request(charset: str):
    from plant.config.wsgi import application

    content_type = f"application/json; charset={charset}"
    asked = RequestFactory().generic("POST", "/api/v1/work-orders?limit=1", b"{}")
    asked.environ["CONTENT_TYPE"] = content_type
    said = []

    answer = application(asked.environ, lambda status, _headers: said.append(status))

    answer.close()
    assert said == ["401 Unauthorized"]
