"""History of a conveyor and its register on a day, as people and other systems read them."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from plant import acting
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, BeltMark, Component, Conveyor
from plant.roles import Role
from plant.selectors.change_words import KINDS
from plant.selectors.register_as_of import register_as_of
from plant.selectors.register_history import RegisterHistory
from tests.plant.factories import (
    make_complete_conveyor,
    make_component,
    make_person,
    make_plant,
    signed_in,
)
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db

NOW = datetime.now(UTC)


def happened(ago: timedelta) -> None:
    """Puts what this test has done so far, all one transaction, so long ago."""
    for kind in KINDS:
        kind.change.objects.filter(pgh_created_at__gt=NOW - timedelta(hours=1)).update(
            pgh_created_at=NOW - ago
        )


@pytest.fixture
def conveyor() -> Conveyor:
    conveyor = make_complete_conveyor(make_plant(time_zone="Pacific/Auckland"))
    happened(timedelta(days=30))
    return conveyor


@pytest.fixture
def clerk(conveyor) -> Client:
    return signed_in(make_person(Role.CLERK, plants=[conveyor.plant]))


def history(client: Client, conveyor: Conveyor, **asked):
    return client.get(reverse("conveyor-history", args=[conveyor.plant.code, conveyor.tag]), asked)


def as_it_stood(client: Client, conveyor: Conveyor, **asked):
    page = reverse("conveyor-as-it-stood", args=[conveyor.plant.code, conveyor.tag])
    return client.get(page, asked)


def asked_by_key(conveyor: Conveyor, secret: str, **asked):
    page = reverse("api-history", args=[conveyor.tag])
    return Client().get(page, asked, headers={"Authorization": f"Api-Key {secret}"})


def test_a_change_is_one_line_with_its_words_units_and_person(conveyor, clerk):
    lead = make_person(Role.LEAD, plants=[conveyor.plant], display_name="Odile Brannock")
    with acting.by_person(lead):
        conveyor.components.filter(name="C").update(spacing_m="1.2", note="shifted")

    text = history(clerk, conveyor).content.decode()

    assert "Odile Brannock" in text
    assert "spacing: 1.5\N{NO-BREAK SPACE}m → " in text
    assert "1.2\N{NO-BREAK SPACE}m" in text
    assert "note: — → " in text


def test_the_newest_change_stands_first(conveyor):
    Belt.objects.update(length_m=211)
    happened(timedelta(days=2))
    Conveyor.objects.update(speed_mps=3)

    first, second, *_ = RegisterHistory(conveyor)[0:40]

    assert (first.kind.code, second.kind.code) == ("conveyor", "belt")
    assert [(one.field, one.old, one.new) for one in first.fields] == [("speed_mps", 2.5, 3.0)]


def test_what_lies_between_in_one_transaction_is_not_told(conveyor):
    part = conveyor.components.get(name="C")
    for name in ("put aside", "D"):
        part.name = name
        part.save()

    (change, *_) = RegisterHistory(conveyor)[0:40]

    assert [(one.old, one.new) for one in change.fields] == [("C", "D")]
    assert change.name == "D"


def test_a_removed_component_keeps_its_history(conveyor, clerk):
    conveyor.components.get(name="Skirts").delete()

    page = history(clerk, conveyor, of="component", name="skirts")

    told = page.context["page"].object_list
    assert [one.what for one in told] == ["removed", "added"]
    assert "was removed" in page.content.decode()


def test_the_list_is_narrowed_to_one_row(conveyor, clerk):
    head = conveyor.components.get(name="Head pulley")
    Component.objects.filter(conveyor=conveyor).update(note="looked at")

    told = history(clerk, conveyor, of="component", row=head.pk).context["page"].object_list

    assert [(one.name, one.what) for one in told] == [
        ("Head pulley", "changed"),
        ("Head pulley", "added"),
    ]


@pytest.mark.parametrize(
    "asked",
    [
        {"of": "engine"},
        {"row": "9" * 30},
        {"row": "-1"},
        {"name": "\x00"},
        {"name": "'; DROP TABLE"},
        {"name": "x" * 500},
        {"page": "last one"},
        {"page": "-7"},
    ],
)
def test_odd_filters_break_nothing(conveyor, clerk, asked):
    assert history(clerk, conveyor, **asked).status_code == 200


def test_the_history_of_another_conveyor_is_not_mixed_in(conveyor):
    other = make_complete_conveyor(conveyor.plant)
    mark = BeltMark.objects.create(belt=other.belts.get(), kind="tear", belt_position_m=3)

    mine = {(one.kind.code, one.row_pk) for one in RegisterHistory(conveyor)[0:100]}
    theirs = {(one.kind.code, one.row_pk) for one in RegisterHistory(other)[0:100]}

    assert not mine & theirs
    assert ("mark", mark.pk) in theirs
    # The conveyor, eleven components, a belt and two splices.
    assert len(mine) == 15


def test_a_page_asks_the_same_of_the_database_however_much_there_is(
    conveyor, clerk, django_assert_max_num_queries
):
    for number in range(120):
        at = f"{300 + number}"
        make_component(conveyor, f"X{number}", ComponentKind.BELT_CLEANER, Run.RETURN, at)
    conveyor.components.update(note="counted")

    with django_assert_max_num_queries(22):
        page = history(clerk, conveyor, page="2")

    assert len(page.context["page"].object_list) == 40


def test_the_register_is_read_as_it_stood(conveyor, clerk):
    before = as_it_stood(clerk, conveyor, on=(NOW - timedelta(days=10)).date().isoformat())
    conveyor.components.get(name="Skirts").delete()
    conveyor.components.filter(name="Q").update(count=16)
    Conveyor.objects.filter(pk=conveyor.pk).update(tag="Q30", speed_mps=3)
    belt = conveyor.belts.get()
    belt.splices.get(name="S2").delete()
    belt.delete()
    conveyor.refresh_from_db()

    then = as_it_stood(clerk, conveyor, on=(NOW - timedelta(days=10)).date().isoformat())

    assert then.status_code == 200
    old, new = then.context["sheet"], before.context["sheet"]
    assert old.state == new.state
    assert old.belt.length_m == 210.5
    assert [(one.name, one.belt_position_m) for one in old.splices] == [("S1", 0), ("S2", 105)]
    assert old.parts.paginator.count == 11
    text = then.content.decode()
    assert "<svg class=" in text
    assert "It was called CV-" in text
    assert "2.50 m/s" in text


def test_the_last_place_of_a_group_is_told_of_the_past_too(conveyor):
    rows = register_as_of(conveyor, NOW - timedelta(days=1)).rows

    last = {one.name: one.last_m for one in rows.components}
    assert last["C"] == Decimal("94.5")


def test_a_day_ends_where_the_plant_is(conveyor, clerk):
    # 11:30 UTC is past midnight in Auckland.
    changed_at = datetime(2026, 6, 10, 12, 30, tzinfo=UTC)
    for kind in KINDS:
        kind.change.objects.update(pgh_created_at=datetime(2026, 1, 1, tzinfo=UTC))
    Conveyor.objects.update(lift_m=7)
    KINDS[0].change.objects.filter(lift_m=7).update(pgh_created_at=changed_at)

    lifts = [
        as_it_stood(clerk, conveyor, on=day).context["conveyor"].lift_m
        for day in ("2026-06-10", "2026-06-11")
    ]

    assert lifts == [0, 7]


def test_before_the_first_change_it_says_so(conveyor, clerk):
    page = as_it_stood(clerk, conveyor, on="2001-05-01")

    assert page.status_code == 200
    assert "its history begins on" in page.content.decode()


@pytest.mark.parametrize("day", ["", "yesterday", "2026-13-40", "0001-01-01", "9999-12-31"])
def test_a_day_that_is_none_is_refused_in_words(conveyor, clerk, day):
    page = as_it_stood(clerk, conveyor, on=day)

    assert page.status_code == 400
    assert page.context["form"].errors["on"]


def test_the_register_of_the_past_cannot_be_changed(conveyor):
    lead = signed_in(make_person(Role.LEAD, plants=[conveyor.plant]))

    text = as_it_stood(lead, conveyor).content.decode()

    assert "/edit/" not in text
    assert "/new/" not in text


def test_another_system_reads_the_history_page_by_page(conveyor):
    _key, secret = make_key(conveyor.plant, "register:read")
    conveyor.components.filter(name="C").update(spacing_m="1.2")
    seen, page = [], asked_by_key(conveyor, secret, limit=4).json()
    newest = page["results"][0]
    while True:
        seen += [one["id"] for one in page["results"]]
        if page["next"] is None:
            break
        following = Client().get(page["next"], headers={"Authorization": f"Api-Key {secret}"})
        page = following.json()

    assert newest["what"] == "changed"
    assert (newest["of"], newest["name"], newest["who"], newest["by"]) == (
        "component",
        "C",
        None,
        "system",
    )
    assert newest["fields"] == [{"field": "spacing_m", "unit": "m", "old": 1.5, "new": 1.2}]
    assert newest["at"].endswith("Z")
    assert len(seen) == len(set(seen)) == 16


@pytest.mark.parametrize(
    "asked", [{"of": "engine"}, {"name": "x" * 99}, {"name": "\x00"}, {"limit": "0"}]
)
def test_another_system_is_told_which_parameter_is_wrong(conveyor, asked):
    _key, secret = make_key(conveyor.plant, "register:read")

    answer = asked_by_key(conveyor, secret, **asked)

    assert answer.status_code == 400
    assert [one["field"] for one in answer.json()["errors"]] == list(asked)


def test_a_key_without_the_scope_reads_no_history(conveyor):
    _key, secret = make_key(conveyor.plant, "work_orders:read")

    assert asked_by_key(conveyor, secret).status_code == 403
