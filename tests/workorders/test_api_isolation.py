"""Every address of the API, found by itself: no key sees or touches another plant's rows.

An endpoint that is added later is found too, and fails here until a row of its kind can be made.
"""

from collections.abc import Callable, Iterator
from datetime import date
from http import HTTPStatus
from operator import attrgetter
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from rest_framework.generics import GenericAPIView
from rest_framework.views import APIView

from diagnostics.models import Case, CaseMove, Complaint, Finding
from diagnostics.services import findings
from plant.api.rows import RowsOfTheKey
from plant.models import (
    ApiKey,
    Attachment,
    Belt,
    BeltMark,
    BeltWork,
    Component,
    ConditionReading,
    Conveyor,
    FeedChange,
    MeterReading,
    Plant,
    RollChange,
    Splice,
)
from tests.plant import attached, condition_rows, meter_rows, roll_rows
from tests.plant import factories as register
from tests.plant.belt_rows import turn_belt
from tests.workorders import booked_rows, factories, part_rows, shifted
from workorders.models import (
    DueItem,
    OrderMove,
    OrderNote,
    OrderPart,
    Part,
    ShiftMade,
    TimeBooking,
    WorkOrder,
)
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


def api_patterns() -> Iterator[URLPattern]:
    def walk(patterns: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns)
            else:
                yield pattern

    for entry in get_resolver().url_patterns:
        if isinstance(entry, URLResolver) and str(entry.pattern) == "api/v1/":
            yield from walk(entry.url_patterns)


def view_class(pattern: URLPattern) -> type[APIView] | None:
    return getattr(pattern.callback, "cls", None)


RESOURCES = [pattern for pattern in api_patterns() if view_class(pattern)]
SHOWN = [pattern for pattern in RESOURCES if hasattr(view_class(pattern), "get")]
# The description of the API and the answer for unknown addresses show no rows.
OPEN = {"plant.api.schema.openapi_document", "plant.config.api_errors.unknown_address"}


def make_one_of_each(plant: Plant) -> Plant:
    """Rows that are told in every change feed."""
    conveyor = register.make_complete_conveyor(plant)
    factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))
    return plant


def order_of(plant: Plant) -> WorkOrder:
    return factories.make_order_by_hand(register.make_conveyor(plant))


def make_shift(plant: Plant) -> ShiftMade:
    conveyor = register.make_complete_conveyor(plant)
    order = factories.bring_to(factories.make_order_by_hand(conveyor), OrderState.IN_HAND)
    return shifted.shift(conveyor, "C3", order=order)[0]


def make_due(conveyor: Conveyor, **fields: Any) -> DueItem:
    """Lagging that has worn to its limit."""
    why = {"quantity": "lagging_thickness", "spot": "", "last": 5.0, "limit": 5.0, "used": 3}
    usual = {"key": "w:1:lagging", "what": "lagging", "reason": "limit_met", "where": "Drive"}
    more = {"count": 1, "due_on": date(2026, 11, 2), "why": why, **fields}
    return DueItem.objects.create(conveyor=conveyor, **{**usual, **more})


# For each table the API shows: how to make a row of it in a plant.
ROWS: dict[type, Callable[[Plant], Any]] = {
    Conveyor: register.make_conveyor,
    WorkOrder: order_of,
    OrderMove: lambda plant: order_of(plant).moves.get(),
    OrderNote: lambda plant: booked_rows.make_note(order_of(plant), None),
    OrderPart: lambda plant: part_rows.need(order_of(plant), part_rows.make_part(plant), "2"),
    TimeBooking: lambda plant: booked_rows.make_booking(order_of(plant)),
    Complaint: lambda plant: factories.make_complaint(
        factories.make_case(register.make_conveyor(plant))
    ),
    MeterReading: lambda plant: meter_rows.keep(register.make_conveyor(plant), 0, "5"),
    ConditionReading: lambda plant: condition_rows.read(
        register.make_complete_conveyor(plant), "Head pulley", 9.5
    ),
    BeltWork: lambda plant: turn_belt(register.make_complete_conveyor(plant)),
    Case: lambda plant: factories.make_case(register.make_conveyor(plant)),
    CaseMove: lambda plant: factories.make_case(register.make_conveyor(plant)).moves.get(),
    Finding: lambda plant: findings.record_finding(
        case_id=factories.make_case(register.make_conveyor(plant)).pk,
        cause="return_idler_skewed",
        is_present=True,
        by=None,
        now=factories.NOW,
    ),
    Component: lambda plant: register.make_complete_conveyor(plant).components.first(),
    Belt: lambda plant: register.make_complete_conveyor(plant).belts.get(),
    FeedChange: make_one_of_each,
    Splice: lambda plant: register.make_complete_conveyor(plant).belts.get().splices.first(),
    BeltMark: lambda plant: BeltMark.objects.create(
        belt=register.make_complete_conveyor(plant).belts.get(), kind="tear", belt_position_m=3
    ),
    RollChange: lambda plant: roll_rows.change(register.make_complete_conveyor(plant), "C3")[0],
    ShiftMade: lambda plant: make_shift(plant),
    Part: part_rows.make_part,
    DueItem: lambda plant: make_due(register.make_conveyor(plant)),
    Attachment: lambda plant: attached.attach_pdf(register.make_conveyor(plant)),
}
ids = [pattern.name for pattern in RESOURCES]


def address_of(pattern: URLPattern, row: Any) -> str:
    view = view_class(pattern)
    names = pattern.pattern.regex.groupindex or pattern.pattern.converters
    assert issubclass(view, GenericAPIView)
    fields = getattr(view, "lookup_fields", {})
    values = {name: _value(row, fields.get(name, view.lookup_field)) for name in names}
    return reverse(pattern.name, kwargs=values)


def _value(row: Any, field: str) -> Any:
    """`conveyor__tag` is the tag of the row's conveyor."""
    return attrgetter(field.replace("__", "."))(row)


def is_list(pattern: URLPattern) -> bool:
    return not pattern.pattern.regex.groupindex


def ask(pattern: URLPattern, row: Any, secret: str, method: str = "get"):
    headers = {"Authorization": f"Api-Key {secret}"} if secret else {}
    asked = getattr(Client(), method)
    if method == "get":
        return asked(address_of(pattern, row), headers=headers)
    return asked(address_of(pattern, row), "{}", "application/json", headers=headers)


def test_the_api_has_resources_and_nothing_else_that_is_not_named_here() -> None:
    others = {
        f"{one.callback.__module__}.{one.callback.__name__}"
        for one in api_patterns()
        if not view_class(one)
    }

    assert len(RESOURCES) >= 4
    assert others <= OPEN


@pytest.mark.parametrize("pattern", RESOURCES, ids=ids)
def test_every_resource_shows_rows_through_the_asking_key(pattern: URLPattern) -> None:
    view = view_class(pattern)

    assert issubclass(view, RowsOfTheKey)
    assert view.queryset.model in ROWS, "Say above how to make a row of this table."
    # `queryset` is narrowed in one place; a view that did it again could forget the plant.
    assert view.get_queryset is RowsOfTheKey.get_queryset


@pytest.mark.parametrize("pattern", SHOWN, ids=[pattern.name for pattern in SHOWN])
def test_a_key_sees_its_own_rows_and_none_of_another_plant(pattern: URLPattern) -> None:
    here, there = register.make_plant(), register.make_plant()
    make = ROWS[view_class(pattern).queryset.model]
    mine, theirs = make(here), make(there)
    _key, secret = factories.make_key(here)

    if is_list(pattern):
        rows = ask(pattern, mine, secret).json()["results"]
        assert {row["plant"] for row in rows} == {here.code}
    else:
        assert ask(pattern, mine, secret).status_code == HTTPStatus.OK
        assert ask(pattern, theirs, secret).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize("pattern", RESOURCES, ids=ids)
def test_every_method_of_every_resource_wants_a_key_with_its_scope(pattern: URLPattern) -> None:
    plant = register.make_plant()
    view = view_class(pattern)
    row = ROWS[view.queryset.model](plant)
    methods = [name for name in ("get", "post", "put", "patch", "delete") if hasattr(view, name)]
    assert methods

    for method in methods:
        scope = view.scopes[method.upper()]
        others = [one.value for one in ApiKey.Scope if one != scope]
        _key, secret = factories.make_key(plant, *others)
        assert ask(pattern, row, "", method).status_code == HTTPStatus.UNAUTHORIZED
        assert ask(pattern, row, secret, method).status_code == HTTPStatus.FORBIDDEN
