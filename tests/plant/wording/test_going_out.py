"""Our records in the words of a system."""

import copy

import pytest

from plant.wording.refusals import Missed, Why, WordRefused
from plant.wording.wording import CHANGE_KIND, Fields, Wording, Words
from tests.plant.wording.spoken import STATES, THEIR_STATES, order, spoken


def test_words_and_asset_tags_are_those_of_the_system() -> None:
    told = spoken().to_theirs("work_order", order())

    assert told["state"] == "20-OK"
    assert told["conveyor"] == {"tag": "LWT/Q30", "name": "Quay conveyor"}
    assert told["component"] == "LWT/Q30/R88"


def test_a_record_is_left_as_it_was() -> None:
    ours = order()
    kept = copy.deepcopy(ours)

    spoken().to_theirs("work_order", ours)

    assert ours == kept


def test_the_same_word_elsewhere_in_a_record_is_another_word() -> None:
    wording = spoken({**THEIR_STATES, "open": "wrong"})

    assert wording.to_theirs("work_order", order())["case"]["state"] == "open"


def test_rows_within_lists_and_moves_are_worded_too() -> None:
    answer = {"results": [order(moves=[{"from_state": None}, {"from_state": "done"}])]}

    told = spoken().to_theirs("work_order", answer)["results"][0]

    assert [move["from_state"] for move in told["moves"]] == [None, "40-FIN"]


def test_a_word_nobody_filled_in_goes_out_as_ours_and_is_counted() -> None:
    missed: set[Missed] = set()
    wording = spoken({"done": "40-FIN"})

    told = wording.to_theirs("work_order", order(conveyor="Z9"), missed)

    assert (told["state"], told["conveyor"]) == ("scheduled", "Z9")
    assert missed == {Missed("order_state", "scheduled"), Missed("asset_tag", "Z9")}


def test_a_strict_wording_refuses_what_has_no_word() -> None:
    wording = spoken({"done": "40-FIN"}, is_strict=True)

    with pytest.raises(WordRefused) as refused:
        wording.to_theirs("work_order", order())

    assert refused.value.why is Why.MISSING
    assert (refused.value.field, refused.value.word) == ("state", "scheduled")


def test_a_vocabulary_without_any_word_is_spoken_in_ours_however_strict() -> None:
    told = spoken({}, tags={}, is_strict=True).to_theirs("work_order", order())

    assert told == order()


def test_a_component_needs_no_tag_of_its_own() -> None:
    told = spoken(is_strict=True).to_theirs("work_order", order(component="R12"))

    assert told["component"] == "R12"


def test_fields_are_added_copied_and_renamed() -> None:
    fields = Fields(
        constants={"site": "0815"},
        copies={"place": "asset_tag", "belt": "conveyor.name"},
        renamed={"number": "ref"},
    )

    told = spoken(fields=fields).to_theirs("work_order", order())

    assert told["ref"] == "LT-W-0042"
    assert "number" not in told
    assert (told["site"], told["belt"]) == ("0815", "Quay conveyor")
    assert told["place"] == "LWT/Q30/R88"


def test_an_asset_tag_falls_back_on_the_conveyor() -> None:
    fields = Fields(copies={"place": "asset_tag"})

    told = spoken(fields=fields).to_theirs("work_order", order(component=None))

    assert told["place"] == "LWT/Q30"


def test_only_rows_of_the_kind_get_added_fields() -> None:
    fields = Fields(constants={"site": "0815"})
    answer = {"next": None, "results": [order()], "other": {"number": "7"}}

    told = spoken(fields=fields).to_theirs("work_order", answer)

    assert "site" not in told
    assert "site" not in told["other"]
    assert told["results"][0]["site"] == "0815"


def test_an_added_field_never_hides_one_of_ours() -> None:
    told = spoken(fields=Fields(constants={"state": "x"})).to_theirs("work_order", order())

    assert told["state"] == "20-OK"


def test_a_change_is_told_with_its_kind_and_record() -> None:
    wording = Wording(
        shapes=spoken().shapes,
        words={**spoken().words, CHANGE_KIND: Words({"changed": "U", "added": "I"})},
    )
    change = {"number": 7, "kind": "changed", "of": "work_order", "record": order()}

    told = wording.change_to_theirs(change)

    assert (told["kind"], told["record"]["state"]) == ("U", "20-OK")
    assert told["number"] == 7


@pytest.mark.parametrize("state", STATES)
def test_every_state_goes_out_under_its_word(state: str) -> None:
    assert spoken().to_theirs("work_order", order(state=state))["state"] == THEIR_STATES[state]
