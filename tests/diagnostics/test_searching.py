"""A search over knowledge and past cases: what comes first, what is never shown, what it costs."""

from typing import Any

import pytest
from django.db import connection

from diagnostics import knowledge_files
from diagnostics.inference.search_words import asked_of
from diagnostics.models import Case, SearchEntry, WalkDown
from diagnostics.models.search import SearchKind
from diagnostics.selectors import search_parts, searching, shelf
from diagnostics.selectors.search_parts import Scope
from diagnostics.selectors.searching import FoundPage
from diagnostics.services import filling_search
from plant.models import Plant
from tests.diagnostics.editions import entry, put_in_force
from tests.diagnostics.factories import make_bare_conveyor, make_plant, make_walk_down, take

pytestmark = pytest.mark.django_db


def scope(*plants: Plant) -> Scope:
    while filling_search.fill_owed():
        pass
    shelf = filling_search.fill_shelf(knowledge_files.library())
    return Scope(shelf, [plant.pk for plant in plants])


def found(where: Scope, typed: str, kind: SearchKind | None = None) -> FoundPage:
    return searching.found_page(where, typed, kind, None, 20)


def keys(where: Scope, typed: str, kind: SearchKind | None = None) -> list[str]:
    return [one.key for one in found(where, typed, kind).page.object_list]


def case_said(plant: Plant, words: str) -> Case:
    case = take(make_bare_conveyor(plant), words=words).case
    assert case is not None
    return case


# What a person types, and the cause that a belt man would have in mind.
PLAIN_WORDS = {
    "lagging worn": "head_lagging_worn_one_side",
    "it slips when starting": "tension_too_low",
    "ICE": "frozen_rolls",
    "windy": "wind_on_belt",
    "splice not square": "crooked_splice",
    "chute blocked build-up": "chute_build_up",
    "take-up jumps": "take_up_carriage_binding",
    "scraper or plough": "plough_presses_unevenly",
    "camber": "belt_camber",
    "squeal": "carrying_roll_seized",
    "tail pulley level": "tail_pulley_out_of_level",
    # Words of the trade that stand nowhere in the catalogue.
    "tensioner cocked": "take_up_carriage_skewed",
    "roller does not turn": "return_roll_seized",
    "drum crust tail": "tail_pulley_build_up",
    "banana belt": "belt_camber",
    "wanders in a gale": "wind_on_belt",
    "ripped belt": "belt_tear_across",
    # Slips of the hand.
    "sqeual": "carrying_roll_seized",
    "lagginng worn": "head_lagging_worn_one_side",
    # Still being typed.
    "cambe": "belt_camber",
}


def test_plain_words_bring_the_cause_among_the_first_three() -> None:
    where = scope()

    missed = {
        typed: keys(where, typed, SearchKind.CAUSE)[:3]
        for typed, slug in PLAIN_WORDS.items()
        if slug not in keys(where, typed, SearchKind.CAUSE)[:3]
    }

    assert missed == {}


def test_a_slip_is_told_and_what_is_known_is_not_mended() -> None:
    where = scope()

    assert found(where, "sqeual").instead == {"sqeual": "squeal"}
    assert found(where, "squeal").instead == {}
    assert found(where, "squeals xylophone").instead == {}


def test_words_found_nowhere_find_nothing() -> None:
    where = scope()

    for typed in ("xylophone", "x" * 200, "the of", "1234567"):
        assert found(where, typed).total == 0


def test_causes_methods_and_rules_are_found_and_counted_by_kind() -> None:
    everything = found(scope(), "lagging")

    assert all(everything.counts[kind] for kind in (SearchKind.CAUSE, SearchKind.METHOD))
    assert everything.counts[SearchKind.RULE]
    assert everything.total == everything.page.paginator.count
    only = found(scope(), "lagging", SearchKind.METHOD)
    assert only.counts == everything.counts
    assert {one.kind for one in only.page.object_list} == {SearchKind.METHOD}


def test_what_matched_is_marked_in_the_very_words() -> None:
    plant = make_plant()
    case_said(plant, "<b>smoke</b> from the gearbox cowl & a squeal")

    (one,) = found(scope(plant), "cowl", SearchKind.CASE).page.object_list

    assert ("cowl", True) in one.title
    assert "".join(text for text, _is_it in one.title).startswith("<b>smoke</b>")


def test_a_synonym_is_marked_as_what_matched() -> None:
    plant = make_plant()
    case_said(plant, "the belt walks off by the gearbox")

    (one,) = found(scope(plant), "mistracks", SearchKind.CASE).page.object_list

    assert [text for text, is_it in one.title if is_it] == ["walks off"]


def test_past_cases_of_another_plant_are_never_found_nor_their_words_offered() -> None:
    mine, other = make_plant(), make_plant()
    case_said(other, "zanzibar belt rubs")
    where = scope(mine)

    assert found(where, "zanzibar").total == 0
    assert found(where, "zanzibor").instead == {}
    assert keys(scope(other), "zanzibar", SearchKind.CASE)


def test_cases_that_fit_equally_come_newest_first() -> None:
    plant = make_plant()
    first = case_said(plant, "vermilion dust")
    second = case_said(plant, "vermilion dust")

    assert keys(scope(plant), "vermilion") == [second.number, first.number]


def test_a_cause_that_only_an_edition_holds_is_found_by_its_readers_alone() -> None:
    plant = make_plant()
    edition = put_in_force(
        plant,
        lambda documents: entry(documents, "causes", "wind_on_belt").update(
            name="Sirocco on the belt"
        ),
    )
    own = filling_search.fill_shelf(shelf.library_in(edition))

    assert keys(Scope(own, [plant.pk]), "sirocco") == ["wind_on_belt"]
    assert keys(scope(plant), "sirocco") == []


def test_only_asked_causes_are_found_within_a_class() -> None:
    where = Scope(scope().shelf, [], ["head_pulley_skewed", "head_pulley_build_up"])

    assert set(keys(where, "pulley")) == set(where.causes or ())


def test_very_many_cases_are_cut_to_the_newest_and_it_is_said(monkeypatch: Any) -> None:
    monkeypatch.setattr(search_parts, "MOST_COUNTED", 2)
    monkeypatch.setattr("diagnostics.selectors.search_ranking.MOST_COUNTED", 2)
    plant = make_plant()
    cases = [case_said(plant, "ochre") for _ in range(4)]

    told = found(scope(plant), "ochre", SearchKind.CASE)

    assert told.is_cut
    assert {one.key for one in told.page.object_list} <= {case.number for case in cases[1:]}


def test_the_number_of_queries_does_not_grow(django_assert_max_num_queries: Any) -> None:
    plant = make_plant()
    for _ in range(5):
        case_said(plant, "the lagging squeals")
    where = scope(plant)

    with django_assert_max_num_queries(4):
        found(where, "lagging squeals at the head")
    with django_assert_max_num_queries(9):
        found(where, "laging sqeals at the haed")


def test_words_are_looked_up_in_the_index() -> None:
    plant = make_plant()
    case_said(plant, "the lagging squeals")
    where = scope(plant)
    (query,) = search_parts._queries(asked_of("lagging", search_parts.synonym_files.current()))
    rows = SearchEntry.objects.filter(words=query)

    with connection.cursor() as cursor:
        # On a small table reading everything is cheaper; whether it could be avoided is asked.
        cursor.execute("SET LOCAL enable_seqscan = off")
        plan = rows.explain()
    assert where.rows.exists()
    assert "search_words" in plan


def test_a_walk_down_note_and_a_remark_are_found() -> None:
    plant = make_plant()
    case = case_said(plant, "rubs")
    walk_down = make_walk_down(case)
    WalkDown.objects.filter(pk=walk_down.pk).update(note="a marmalade jar under hanger 7")

    assert keys(scope(plant), "marmalade") == [case.number]
