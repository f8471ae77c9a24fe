"""What every read of the API has: ETag and 304, gzip, sparse fields, counts, known names only."""

import gzip
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import get_resolver

from plant.api.answers import takes_gzip
from plant.api.rows import RowsOfTheKey
from plant.models import Plant
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.test_api_description import described
from tests.workorders.test_api_isolation import RESOURCES, view_class
from workorders.models import WorkOrder

pytestmark = pytest.mark.django_db
ORDERS = "/api/v1/work-orders"


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    conveyor = register.make_complete_conveyor(plant, tag="Q30")
    return factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))


def ask(secret: str, address: str = ORDERS, query: Any = None, method: str = "get", **headers: str):
    named = {name.replace("_", "-"): text for name, text in headers.items()}
    asked = getattr(Client(), method)
    return asked(address, query or {}, headers={"Authorization": f"Api-Key {secret}", **named})


def test_the_etag_of_a_row_begins_with_its_version(secret: str, order: WorkOrder) -> None:
    answer = ask(secret, f"{ORDERS}/{order.number}")

    assert answer["ETag"].startswith(f'"{order.version}-')
    assert answer["Cache-Control"] == "private, no-cache"
    assert {"Accept-Encoding", "Authorization"} <= set(answer["Vary"].split(", "))


@pytest.mark.parametrize("address", [ORDERS, f"{ORDERS}/LT-W-0001", "/api/v1/conveyors"])
def test_what_the_asker_has_is_not_sent_again_until_it_changes(
    secret: str, order: WorkOrder, address: str
) -> None:
    etag = ask(secret, address)["ETag"]

    again = ask(secret, address, If_None_Match=f'"other", W/{etag}')
    assert (again.status_code, again.content) == (HTTPStatus.NOT_MODIFIED, b"")
    assert again["ETag"] == etag
    assert (again["Cache-Control"], again["Vary"]) == (
        ask(secret, address)["Cache-Control"],
        ask(secret, address)["Vary"],
    )
    assert "Content-Type" not in again

    WorkOrder.objects.update(title="Another", version=order.version + 1)
    order.conveyor.name = "Renamed"
    order.conveyor.save()
    changed = ask(secret, address, If_None_Match=etag)
    assert changed.status_code == HTTPStatus.OK
    assert changed["ETag"] != etag


def test_a_neighbour_that_changed_makes_another_etag_of_the_same_version(
    secret: str, order: WorkOrder
) -> None:
    before = ask(secret, f"{ORDERS}/{order.number}")["ETag"]
    order.steps.filter(place=1).update(what="Look first")

    after = ask(secret, f"{ORDERS}/{order.number}")["ETag"]

    assert after != before
    assert after.partition("-")[0] == before.partition("-")[0]


def test_somebody_without_a_key_is_told_nothing_by_304(secret: str, order: WorkOrder) -> None:
    etag = ask(secret)["ETag"]

    answer = Client().get(ORDERS, headers={"If-None-Match": etag})

    assert answer.status_code == HTTPStatus.UNAUTHORIZED
    assert "ETag" not in answer


def test_head_answers_as_get_does_without_the_body(secret: str, order: WorkOrder) -> None:
    got = ask(secret)

    head = ask(secret, method="head")

    assert head.content == b""
    for name in ("ETag", "Content-Length", "Content-Type", "Vary"):
        assert head[name] == got[name]
    assert ask(secret, method="head", If_None_Match=got["ETag"]).status_code == 304


def test_answers_are_compressed_for_whoever_takes_it(secret: str, order: WorkOrder) -> None:
    plain = ask(secret)

    packed = ask(secret, Accept_Encoding="br;q=1, gzip")

    assert packed["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.content) == plain.content
    assert packed["Content-Length"] == str(len(packed.content))
    assert len(packed.content) < len(plain.content)
    # Other bytes, another strong ETag; either is known again.
    assert packed["ETag"] != plain["ETag"]
    assert not packed["ETag"].startswith("W/")
    for etag in (packed["ETag"], plain["ETag"]):
        again = ask(secret, Accept_Encoding="gzip", If_None_Match=etag)
        assert (again.status_code, again.content) == (HTTPStatus.NOT_MODIFIED, b"")


def test_a_page_of_changes_is_compressed_too(secret: str, order: WorkOrder) -> None:
    plain = ask(secret, f"{ORDERS}/changes")

    packed = ask(secret, f"{ORDERS}/changes", Accept_Encoding="gzip")

    assert "Content-Encoding" not in plain
    assert gzip.decompress(packed.content) == plain.content


# RFC 9110, section 12.5.3.
@pytest.mark.parametrize(
    ("accepted", "taken"),
    [
        ("gzip", True),
        ("GZIP", True),
        ("deflate, gzip;q=0.5", True),
        ("*", True),
        ("x-gzip", True),
        ("gzip;q=0", False),
        ("gzip;q=0, *", False),
        ("*;q=0", False),
        ("gzip;q=much", False),
        ("identity", False),
        ("br", False),
        ("", False),
    ],
)
def test_gzip_is_sent_to_whoever_takes_it(accepted: str, taken: bool) -> None:
    assert takes_gzip(accepted) is taken


def test_only_the_fields_asked_for_come_back(secret: str, order: WorkOrder) -> None:
    rows = ask(secret, query={"fields": "number, state,conveyor"}).json()["results"]
    one = ask(secret, f"{ORDERS}/{order.number}", {"fields": "steps"}).json()

    conveyor = {"tag": "Q30", "name": order.conveyor.name}
    assert rows == [{"number": order.number, "state": "proposed", "conveyor": conveyor}]
    assert list(one) == ["steps"]


def test_the_version_is_in_the_etag_whatever_fields_come_back(
    secret: str, order: WorkOrder
) -> None:
    answer = ask(secret, f"{ORDERS}/{order.number}", {"fields": "title"})

    assert answer["ETag"].startswith(f'"{order.version}-')


@pytest.mark.parametrize(
    ("asked", "nearest"),
    [("nubmer", "number"), ("conveyor.tag", "conveyor"), ("number,stat", "state"), ("", "")],
)
def test_a_field_that_is_not_there_is_refused_with_the_nearest(
    secret: str, order: WorkOrder, asked: str, nearest: str
) -> None:
    problem = ask(secret, query={"fields": asked}).json()

    (error,) = problem["errors"]
    assert (problem["status"], error["field"]) == (400, "fields")
    assert f"Nearest: {nearest}" in error["detail"] or not nearest


def test_a_list_says_how_long_it_is_only_when_asked(
    plant: Plant, secret: str, order: WorkOrder, django_assert_max_num_queries: Any
) -> None:
    for _ in range(3):
        factories.make_order_by_hand(order.conveyor)

    with django_assert_max_num_queries(4):
        assert "count" not in ask(secret, query={"limit": 1}).json()
    with django_assert_max_num_queries(5):
        counted = ask(secret, query={"limit": 1, "count": "yes"}).json()
    narrowed = ask(secret, query={"case": order.case.number, "count": "yes"}).json()

    assert (counted["count"], len(counted["results"])) == (4, 1)
    assert ask(secret, counted["next"]).json()["count"] == 4
    assert narrowed["count"] == 1
    assert ask(secret, query={"count": "maybe"}).status_code == HTTPStatus.BAD_REQUEST


def test_a_misspelt_parameter_is_refused_with_the_nearest(secret: str) -> None:
    problem = ask(secret, query={"sate": "proposed"}).json()

    (error,) = problem["errors"]
    assert (error["field"], error["code"]) == ("sate", "unknown_parameter")
    assert "Nearest: state." in error["detail"]


def test_a_word_of_a_filter_that_is_none_is_refused_with_the_nearest(secret: str) -> None:
    problem = ask(secret, query={"state": ["approved", "propsed"]}).json()

    assert "Nearest: proposed." in problem["errors"][0]["detail"]


READING = [one for one in RESOURCES if hasattr(view_class(one), "get")]


@pytest.mark.parametrize("pattern", READING, ids=[one.name for one in READING])
def test_the_description_names_the_parameters_that_are_known(pattern: Any) -> None:
    view = view_class(pattern)(**pattern.callback.initkwargs)
    assert isinstance(view, RowsOfTheKey)
    told = {
        parameter["name"]
        for operation in operations_of(pattern)
        for parameter in operation.get("parameters", ())
        if parameter.get("in") == "query"
    }

    assert view.known_names("GET") - {"words"} == told - {"words"}


def operations_of(pattern: Any) -> list[dict[str, Any]]:
    """Of the address whose shape is the pattern's."""
    shape = pattern_shape(pattern)
    found = [
        methods["get"]
        for path, methods in described()["paths"].items()
        if "get" in methods and _shape(path) == shape
    ]
    assert len(found) == 1, (pattern.name, shape)
    return found


def pattern_shape(pattern: Any) -> str:
    names = pattern.pattern.regex.groupindex or pattern.pattern.converters
    (possible,) = get_resolver().reverse_dict.getlist(pattern.name)[0][0][:1]
    template, parameters = possible
    return _shape("/" + template % dict.fromkeys(parameters or names, "{x}"))


def _shape(path: str) -> str:
    return "/".join("{}" if part.startswith("{") else part for part in path.split("/"))
