"""Plain words find causes; zones follow from where a cause can stand."""

import pytest

from diagnostics import knowledge_files
from diagnostics.inference.cause_search import search_causes
from diagnostics.inference.cause_zones import zones_of
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.selectors import catalogue
from plant.loop.vocabulary import Zone

KNOWLEDGE = knowledge_files.current()
CAUSES = tuple(KNOWLEDGE.causes.values())


def first(typed: str, among: int = 3) -> set[str]:
    return {cause.slug for cause in search_causes(CAUSES, typed)[:among]}


@pytest.mark.parametrize(
    ("typed", "slug"),
    [
        ("lagging worn", "head_lagging_worn_one_side"),
        ("it slips when starting", "tension_too_low"),
        ("ICE", "frozen_rolls"),
        ("windy", "wind_on_belt"),
        ("splice not square", "crooked_splice"),
        ("chute blocked build-up", "chute_build_up"),
        ("take-up jumps", "take_up_carriage_binding"),
        ("scraper or plough", "plough_presses_unevenly"),
        ("camber", "belt_camber"),
        ("counterweight", "counterweight_off_centre"),
        ("squeal", "carrying_roll_seized"),
        ("tail pulley level", "tail_pulley_out_of_level"),
    ],
)
def test_plain_words_bring_the_cause_among_the_first_three(typed: str, slug: str) -> None:
    assert slug in first(typed)


def test_endings_do_not_matter() -> None:
    assert search_causes(CAUSES, "slipping splices") == search_causes(CAUSES, "slips splice")


@pytest.mark.parametrize("typed", ["", "   ", "the of and", "?!"])
def test_without_a_word_to_go_by_all_come_back_in_order(typed: str) -> None:
    assert search_causes(CAUSES, typed) == CAUSES


@pytest.mark.parametrize("typed", ["xylophone", "'; --1=1", "x" * 5000])
def test_words_found_nowhere_find_nothing(typed: str) -> None:
    assert search_causes(CAUSES, typed) == ()


def test_a_word_found_and_a_word_unknown_still_find() -> None:
    assert "belt_camber" in first("camber xylophone")


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.slug)
def test_every_cause_stands_in_some_zone(cause) -> None:
    assert zones_of(cause)


@pytest.mark.parametrize(
    ("slug", "zones"),
    [
        ("tail_pulley_skewed", {Zone.TAIL}),
        ("off_centre_loading", {Zone.LOAD}),
        ("structure_damaged", {Zone.CARRYING_LOWER, Zone.CARRYING_MID, Zone.CARRYING_UPPER}),
        ("return_structure_damaged", {Zone.RETURN_BEFORE, Zone.RETURN_AFTER}),
        ("self_aligning_idler_stuck", {Zone.RETURN_BEFORE, Zone.RETURN_AFTER}),
        ("crooked_splice", set(Zone)),
    ],
)
def test_zones_follow_from_component_and_class(slug: str, zones: set[Zone]) -> None:
    assert set(zones_of(KNOWLEDGE.causes[slug])) == zones


def test_class_and_zone_narrow_the_list() -> None:
    found = catalogue.causes_at(KNOWLEDGE, cause_class=CauseClass.HEAD_PULLEY, zone=Zone.HEAD)

    assert "head_pulley_bearing_failing" in {cause.slug for cause in found}
    assert {cause.cause_class for cause in found} == {CauseClass.HEAD_PULLEY}


def test_class_and_zone_that_exclude_each_other_find_nothing() -> None:
    found = catalogue.causes_at(KNOWLEDGE, cause_class=CauseClass.HEAD_PULLEY, zone=Zone.TAIL)

    assert found == ()


def test_a_page_lists_look_alikes_named_from_either_side() -> None:
    # The racked bay names the turned idlers; the turned idlers' own list does not name it.
    page = catalogue.cause_page(KNOWLEDGE, knowledge_files.work_methods(), "carrying_idlers_skewed")

    assert page is not None
    own = {one.cause.slug for one in page.look_alikes}
    others = {one.cause.slug for one in page.taken_for}
    assert "structure_racked" in others
    assert not own & others


def test_a_page_of_no_cause_is_none() -> None:
    assert catalogue.cause_page(KNOWLEDGE, knowledge_files.work_methods(), "gremlins") is None


def test_rules_stand_on_the_side_they_speak_for() -> None:
    page = catalogue.cause_page(KNOWLEDGE, knowledge_files.work_methods(), "off_centre_loading")

    assert page is not None
    assert all(weight.ratio >= 1 for weight in page.speaks_for)
    assert all(weight.ratio < 1 for weight in page.speaks_against)
    assert [w.ratio for w in page.speaks_for] == sorted(
        (w.ratio for w in page.speaks_for), reverse=True
    )
    assert "row-past-skirts" in {weight.rule.slug for weight in page.speaks_for}
    assert "both-states-not-loading" in {weight.rule.slug for weight in page.speaks_against}
