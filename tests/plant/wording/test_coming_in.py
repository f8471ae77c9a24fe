"""What a system sends, in our words."""

import pytest

from plant.wording.refusals import Missed, Why, WordRefused
from plant.wording.wording import Fields
from tests.plant.wording.spoken import order, spoken


def test_their_words_become_ours() -> None:
    read = spoken().to_ours("work_order", {"state": "40-FIN", "conveyor": "LWT/Y12", "why": "x"})

    assert read == {"state": "done", "conveyor": "Y12", "why": "x"}


def test_of_several_words_of_ours_the_preferred_is_meant() -> None:
    assert spoken().to_ours("work_order", {"state": "20-OK"}) == {"state": "approved"}


def test_without_a_preferred_one_it_is_refused_and_both_are_named() -> None:
    with pytest.raises(WordRefused) as refused:
        spoken(preferred=frozenset()).to_ours("work_order", {"state": "20-OK"})

    assert refused.value.why is Why.AMBIGUOUS
    assert refused.value.accepted == ("approved", "scheduled")


def test_an_unknown_word_is_refused_with_the_nearest() -> None:
    with pytest.raises(WordRefused) as refused:
        spoken().to_ours("work_order", {"state": "40-fln"})

    assert refused.value.why is Why.UNKNOWN
    assert refused.value.field == "state"
    assert refused.value.nearest == "40-FIN"
    assert "10-NEW" in refused.value.named


def test_our_own_word_is_taken_unless_the_wording_is_strict() -> None:
    assert spoken().to_ours("work_order", {"state": "done"}) == {"state": "done"}
    with pytest.raises(WordRefused):
        spoken(is_strict=True).to_ours("work_order", {"state": "done"})


def test_their_word_wins_over_ours_of_the_same_letters() -> None:
    wording = spoken({"proved": "done", "done": "waiting"})

    assert wording.to_ours("work_order", {"state": "done"}) == {"state": "proved"}


def test_an_asset_tag_can_name_the_component_as_well() -> None:
    read = spoken().to_ours("work_order", {"conveyor": "LWT/Q30/R88"})

    assert read == {"conveyor": "Q30", "component": "R88"}


def test_a_component_that_is_named_is_kept() -> None:
    read = spoken().to_ours("work_order", {"conveyor": "LWT/Q30/R88", "component": "R12"})

    assert read == {"conveyor": "Q30", "component": "R12"}


def test_a_tag_nobody_knows_goes_through_and_is_counted() -> None:
    missed: set[Missed] = set()

    assert spoken().to_ours("work_order", {"conveyor": "Z9"}, missed) == {"conveyor": "Z9"}
    assert missed == {Missed("asset_tag", "Z9")}


def test_a_strict_wording_refuses_a_tag_nobody_knows() -> None:
    with pytest.raises(WordRefused) as refused:
        spoken(is_strict=True).to_ours("work_order", {"conveyor": "LWT/Y13"})

    assert refused.value.nearest == "LWT/Y12"


def test_a_tag_of_two_places_is_refused() -> None:
    tags = {("Q30", ""): "LWT/1", ("Y12", ""): "LWT/1"}

    with pytest.raises(WordRefused) as refused:
        spoken(tags=tags).to_ours("work_order", {"conveyor": "LWT/1"})

    assert refused.value.accepted == ("Q30", "Y12")


def test_renamed_fields_come_back_and_added_ones_are_left_out() -> None:
    fields = Fields(constants={"site": "0815"}, renamed={"external_number": "ref"})

    read = spoken(fields=fields).to_ours("work_order", {"ref": "10-4471", "site": "0815"})

    assert read == {"external_number": "10-4471"}


def test_a_field_given_under_both_names_is_refused() -> None:
    fields = Fields(renamed={"external_number": "ref"})

    with pytest.raises(WordRefused) as refused:
        spoken(fields=fields).to_ours("work_order", {"ref": "1", "external_number": "2"})

    assert refused.value.why is Why.TWICE


def test_each_of_several_items_is_read() -> None:
    fields = Fields(renamed={"number": "ref"})
    body = {"all_or_nothing": True, "items": [{"ref": "LT-W-1", "state": "40-FIN"}, 7]}

    read = spoken(fields=fields).to_ours("work_order", body)

    assert read == {"all_or_nothing": True, "items": [{"number": "LT-W-1", "state": "done"}, 7]}


@pytest.mark.parametrize("body", [None, 7, "x", [], [{"state": 7}], {"state": None, "conveyor": 3}])
def test_a_body_of_another_form_is_left_to_whoever_checks_it(body: object) -> None:
    assert spoken().to_ours("work_order", body) == body


def test_one_of_their_words_asks_a_list_for_all_it_stands_for() -> None:
    wording = spoken(preferred=frozenset())

    assert wording.values_to_ours("work_order", "state", ["20-OK"]) == ["approved", "scheduled"]
    assert wording.values_to_ours("work_order", "conveyor", ["LWT/Q30"]) == ["Q30"]
    assert wording.values_to_ours("work_order", "limit", ["20"]) == ["20"]


def test_what_went_out_comes_back_as_it_was() -> None:
    wording = spoken(fields=Fields(constants={"site": "0815"}, renamed={"state": "status"}))
    ours = order(state="done", urgency="watch")

    assert wording.to_ours("work_order", wording.to_theirs("work_order", ours)) == ours
