"""Pages of connected systems: only for administrators, only of their plants."""

from http import HTTPStatus
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import ConnectedSystem, Conveyor, Plant, WordingEntry
from plant.roles import Role
from plant.selectors.wordings import CONSTANT, COPY, RENAMED
from plant.services import wording_gaps
from plant.wording.refusals import TAGS, Missed
from plant.wording_entries import Entry, Value
from tests.plant import factories
from tests.plant.factories import signed_in
from tests.plant.wording.system_rows import NOW, STATES, give, make_system, spoken_system, tag

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return factories.make_complete_conveyor(plant, tag="Q30")


@pytest.fixture
def administrator(plant: Plant) -> Client:
    return signed_in(factories.make_person(Role.ADMINISTRATOR, plants=[plant]))


def address(name: str, system: ConnectedSystem, *more: Any) -> str:
    return reverse(name, args=[system.pk, *more])


def post(client: Client, url: str, system: ConnectedSystem, **fields: Any) -> Any:
    system.refresh_from_db()
    return client.post(url, {"version": system.version, **fields})


def kept(system: ConnectedSystem, part: str) -> dict[str, str]:
    rows = WordingEntry.objects.filter(system=system, part=part)
    return dict(rows.values_list("key", "value"))


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.ADMINISTRATOR])
def test_only_administrators_see_and_change_systems(plant: Plant, role: Role) -> None:
    client = signed_in(factories.make_person(role, plants=[plant]))
    system = make_system(plant)

    for url in (reverse("systems"), address("system", system)):
        assert client.get(url).status_code == HTTPStatus.FORBIDDEN
    url = address("system-words", system, "order_state")
    assert post(client, url, system, theirs_0="X").status_code == HTTPStatus.FORBIDDEN


def test_an_empty_list_says_what_to_do_first(administrator: Client) -> None:
    assert "No system is connected yet" in administrator.get(reverse("systems")).content.decode()


def test_a_system_is_added_and_speaks_our_words_at_first(
    administrator: Client, plant: Plant
) -> None:
    made = administrator.post(
        reverse("system-new"), {"name": "Stores ledger", "plant": plant.pk}, follow=True
    )

    assert "It still speaks Loopwright" in made.content.decode()
    assert not ConnectedSystem.objects.get().is_on


def test_a_name_is_given_once_in_a_plant(administrator: Client, plant: Plant) -> None:
    make_system(plant)

    again = administrator.post(reverse("system-new"), {"name": "Stores ledger", "plant": plant.pk})

    assert again.status_code == HTTPStatus.CONFLICT
    assert "name" in again.context["form"].errors


def test_another_plants_system_is_not_there(administrator: Client) -> None:
    theirs = make_system(factories.make_plant())

    assert administrator.get(address("system", theirs)).status_code == HTTPStatus.NOT_FOUND
    gone = post(administrator, address("system-remove", theirs), theirs)
    assert gone.status_code == HTTPStatus.NOT_FOUND
    assert ConnectedSystem.objects.filter(pk=theirs.pk).exists()


def test_words_are_filled_in_side_by_side(administrator: Client, plant: Plant) -> None:
    system = make_system(plant)
    url = address("system-words", system, "urgency")

    done = post(administrator, url, system, theirs_0="A", theirs_1="B", theirs_2="B", meant_1="on")

    assert done.status_code == HTTPStatus.FOUND
    assert kept(system, "urgency") == {"stop_now": "A", "this_shift": "B", "next_outage": "B"}
    page = administrator.get(url).content.decode()
    assert "watch has no word." in page
    assert "stands for" not in page


def test_a_shared_word_without_a_meant_one_is_told(administrator: Client, plant: Plant) -> None:
    system = make_system(plant)
    url = address("system-words", system, "urgency")

    post(administrator, url, system, theirs_0="A", theirs_1="A", theirs_2="C", theirs_3="D")

    page = administrator.get(address("system", system)).content.decode()
    assert "A stands for stop_now, this_shift" in page


def test_a_form_that_somebody_overtook_keeps_what_was_typed(
    administrator: Client, plant: Plant
) -> None:
    system = make_system(plant)
    url = address("system-words", system, "urgency")
    old = {"version": 1, "theirs_0": "TYPED"}

    stale = administrator.post(url, old)
    again = administrator.post(url, {**old, "version": stale.context["form"]["version"].value()})

    assert stale.status_code == HTTPStatus.CONFLICT
    assert "TYPED" in stale.content.decode()
    assert "changed this system meanwhile" in stale.content.decode()
    assert again.status_code == HTTPStatus.FOUND


@pytest.mark.parametrize("word", ["x" * 201, "a\x00b"])
def test_words_no_column_can_hold_are_refused(
    administrator: Client, plant: Plant, word: str
) -> None:
    system = make_system(plant)

    refused = post(administrator, address("system-words", system, "urgency"), system, theirs_0=word)

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert "theirs_0" in refused.context["form"].errors


def test_tags_of_one_page_leave_other_tags_alone(
    administrator: Client, plant: Plant, conveyor: Conveyor
) -> None:
    other = factories.make_conveyor(plant, tag="Y12")
    system = make_system(plant)
    give(system, tag(other, "LWT/Y12") | tag(conveyor, "LWT/Q30/C", "C"))

    post(
        administrator,
        address("system-tags", system) + "?q=Q30",
        system,
        **{f"tag_{conveyor.pk}_": "LWT/Q30"},
    )

    rows = WordingEntry.objects.filter(system=system, part=TAGS)
    assert sorted(rows.values_list("value", flat=True)) == ["LWT/Q30", "LWT/Q30/C", "LWT/Y12"]
    page = administrator.get(address("system-tags", system)).content.decode()
    assert "1 component" in page


def test_components_get_tags_of_their_own(
    administrator: Client, plant: Plant, conveyor: Conveyor
) -> None:
    system = make_system(plant)
    url = address("system-tags-of", system, "Q30")

    post(administrator, url, system, **{f"tag_{conveyor.pk}_Head pulley": "LWT/Q30/HP"})

    assert kept(system, TAGS) == {"Head pulley": "LWT/Q30/HP"}


def sent(text: str) -> dict[str, Any]:
    return {"file": SimpleUploadedFile("tags.csv", text.encode(), "text/csv")}


def test_a_file_of_tags_is_looked_at_before_it_counts(
    administrator: Client, plant: Plant, conveyor: Conveyor
) -> None:
    system = make_system(plant)
    text = "Conveyor,Component,Asset tag\nQ30,,LWT/Q30\nq30,R88,LWT/Q30/R88\n"

    looked = administrator.post(address("system-tag-file", system), sent(text))
    assert not kept(system, TAGS)
    taken = administrator.post(
        address("system-tag-file-take", system), {"rows": looked.context["rows"]}, follow=True
    )

    assert "Taken in: 2 asset tags." in taken.content.decode()
    assert kept(system, TAGS) == {"": "LWT/Q30", "R88": "LWT/Q30/R88"}


def test_a_file_with_a_wrong_row_takes_nothing_in_and_says_which(
    administrator: Client, plant: Plant, conveyor: Conveyor
) -> None:
    system = make_system(plant)
    text = "Conveyor,Asset tag\nQ30,LWT/Q30\nZ9,LWT/Z9\nQ30,again\n"

    refused = administrator.post(address("system-tag-file", system), sent(text))

    page = refused.content.decode()
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert "Row 3" in page
    assert "No conveyor of this plant has the tag Z9." in page
    assert "The same place stands in row 2." in page
    assert "rows" not in refused.context


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "\x00\x01", "Conveyor,Asset tag\n"])
def test_what_is_no_file_of_tags_is_refused(administrator: Client, plant: Plant, text: str) -> None:
    system = make_system(plant)

    refused = administrator.post(address("system-tag-file", system), sent(text))

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert refused.context["form"].errors["file"]


def test_rows_looked_at_for_one_system_are_not_taken_in_by_another(
    administrator: Client, plant: Plant, conveyor: Conveyor
) -> None:
    looked = administrator.post(
        address("system-tag-file", make_system(plant)),
        sent("Conveyor,Asset tag\nQ30,LWT/Q30\n"),
    )
    other = make_system(plant, "Planning board")

    for rows in (looked.context["rows"], "tampered"):
        administrator.post(address("system-tag-file-take", other), {"rows": rows})

    assert not WordingEntry.objects.exists()


def test_the_file_of_tags_comes_back_as_it_was(
    administrator: Client, plant: Plant, conveyor: Conveyor
) -> None:
    factories.make_conveyor(plant, tag="Y12")
    system = make_system(plant)
    give(system, tag(conveyor, "=LWT/Q30") | tag(conveyor, "LWT/Q30/C", "C"))

    file = administrator.get(address("system-tags-csv", system)).content.decode("utf-8-sig")
    looked = administrator.post(address("system-tag-file", system), sent(file))

    assert file.splitlines() == [
        "Conveyor,Component,Asset tag",
        "Q30,,'=LWT/Q30",
        "Q30,C,LWT/Q30/C",
        "Y12,,",
    ]
    assert looked.context["same"] == 3
    assert not looked.context["changed"]


def test_fields_are_added_and_renamed(administrator: Client, plant: Plant) -> None:
    system = make_system(plant)

    post(
        administrator,
        address("system-fields", system, "work_order"),
        system,
        name_0="site",
        source_0="",
        text_0="0815",
        name_1="place",
        source_1="asset_tag",
        text_1="",
        renamed_external_number="ref",
    )

    assert kept(system, CONSTANT + "work_order") == {"site": "0815"}
    assert kept(system, COPY + "work_order") == {"place": "asset_tag"}
    assert kept(system, RENAMED + "work_order") == {"external_number": "ref"}


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"name_0": "state", "text_0": "x"}, "name_0"),
        ({"name_0": "a", "text_0": "x", "name_1": "a", "text_1": "y"}, "name_1"),
        ({"renamed_state": "urgency"}, "renamed_state"),
        ({"name_0": "a", "text_0": ""}, "text_0"),
        ({"name_0": "a", "source_0": "no_field"}, "source_0"),
    ],
)
def test_two_fields_never_leave_under_one_name(
    administrator: Client, plant: Plant, fields: dict[str, str], wrong: str
) -> None:
    system = make_system(plant)

    refused = post(administrator, address("system-fields", system, "work_order"), system, **fields)

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert wrong in refused.context["form"].errors
    assert not WordingEntry.objects.exists()


def test_what_came_in_without_an_answer_is_listed_until_it_has_one(
    administrator: Client, plant: Plant
) -> None:
    system = spoken_system(plant)
    missed = {Missed("order_state", "60-HOLD")}
    wording_gaps.note_gaps(system=system, way="in", missed=missed, now=timezone.now())

    before = administrator.get(address("system", system)).content.decode()
    give(system, {Entry("order_state", None, "cancelled"): Value("60-HOLD")})
    after = administrator.get(address("system", system)).content.decode()

    assert "“60-HOLD” came in" in before
    assert "60-HOLD" not in after


def test_going_back_asks_first_and_says_what_would_change(
    administrator: Client, plant: Plant
) -> None:
    system = spoken_system(plant)
    then = system.version
    give(system, {Entry("order_state", None, "done"): Value("41-END")})
    url = address("system-back", system, then)

    asked = administrator.get(url).content.decode()
    post(administrator, url, system)

    assert "<del>41-END</del>" in asked
    assert "<ins>40-FIN</ins>" in asked
    assert kept(system, "order_state") == STATES
    history = administrator.get(address("system-history", system)).content.decode()
    assert "gone back to an earlier state" in history


def test_a_change_that_never_was_has_no_page(administrator: Client, plant: Plant) -> None:
    system = make_system(plant)

    for name, more in (
        ("system-back", 99),
        ("system-words", "no-such"),
        ("system-fields", "meters"),
        ("system-tags-of", "Z9"),
    ):
        missing = administrator.get(address(name, system, more))
        assert missing.status_code == HTTPStatus.NOT_FOUND


def test_removing_asks_first(administrator: Client, plant: Plant) -> None:
    system = spoken_system(plant)

    assert (
        "This cannot be undone"
        in administrator.get(address("system-remove", system)).content.decode()
    )
    post(administrator, address("system-remove", system), system)

    assert not ConnectedSystem.objects.exists()


def test_a_long_page_of_tags_takes_the_same_few_queries(
    administrator: Client, plant: Plant, django_assert_max_num_queries: Any
) -> None:
    system = make_system(plant)
    for number in range(30):
        give(system, tag(factories.make_conveyor(plant), f"LWT/{number}"))

    for name in ("system", "system-tags", "system-history"):
        with django_assert_max_num_queries(22):
            assert administrator.get(address(name, system)).status_code == HTTPStatus.OK


def test_settings_switch_words_on_and_are_told_in_the_history(
    administrator: Client, plant: Plant
) -> None:
    system = make_system(plant, is_on=False)

    post(
        administrator,
        address("system-settings", system),
        system,
        name="Stores ledger",
        is_on="on",
        is_strict="on",
    )

    system.refresh_from_db()
    assert (system.is_on, system.is_strict) == (True, True)
    assert system.changes.order_by("-number")[0].at > NOW
