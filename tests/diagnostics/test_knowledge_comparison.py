"""Two sets of documents, entry by entry and field by field."""

import pytest

from diagnostics.knowledge_comparison import Kind, compare, entries_of, with_entry
from diagnostics.knowledge_digest import digest_of
from tests.diagnostics import editions

RULE = "row-before-skirts"


@pytest.fixture
def before():
    return editions.installed()


@pytest.fixture
def after():
    return editions.installed()


def test_what_says_the_same_has_no_differences_whatever_the_order_of_its_keys(before, after):
    causes = after["causes.yaml"]["causes"]
    after["causes.yaml"]["causes"] = [dict(reversed(one.items())) for one in causes]
    after["causes.yaml"]["date"] = "2031-01-01"

    assert compare(before, after) == ()
    assert digest_of(before) == digest_of(after)


def test_a_changed_weight_is_named_by_its_cause(before, after):
    editions.entry(after, "rules", RULE)["speaks"][0]["ratio"] = 3

    (change,) = compare(before, after)

    assert (change.kind, change.slug, change.is_new, change.is_gone) == (
        Kind.RULE,
        RULE,
        False,
        False,
    )
    assert [(one.path, one.before, one.after) for one in change.fields] == [
        (("speaks", "tail_pulley_skewed"), 8, 3)
    ]


def test_words_of_a_feature_and_a_part_of_a_check_are_told_alone(before, after):
    rule = editions.entry(after, "rules", RULE)
    rule["when"]["load"] = ["off only when loaded"]
    editions.entry(after, "causes", "structure_bowed")["confirm"]["minutes"] = 50

    found = compare(before, after)

    assert [(one.path, one.before, one.after) for each in found for one in each.fields] == [
        (("when", "load"), None, ["off only when loaded"]),
        (("confirm", "minutes"), 45, 50),
    ]


def test_a_new_entry_and_a_dropped_one_are_told_as_such(before, after):
    own = editions.cleaner_rule()
    after = with_entry(after, Kind.RULE, own["slug"], own)
    after = with_entry(after, Kind.CAUTION, "slippery", None)

    found = {(one.kind, one.slug): one for one in compare(before, after)}

    assert found[Kind.RULE, own["slug"]].is_new
    assert found[Kind.CAUTION, "slippery"].is_gone
    assert len(found) == 2
    fields = {one.path: one.after for one in found[Kind.RULE, own["slug"]].fields}
    assert fields["says",] == own["says"]
    assert fields["speaks", "take_up"] == 0.5


def test_a_changed_entry_keeps_its_place_and_nothing_given_is_changed(before):
    own = {**editions.entry(before, "rules", RULE), "says": "Look at the tail first."}
    untouched = digest_of(before)

    made = with_entry(before, Kind.RULE, RULE, own)

    assert list(entries_of(made, Kind.RULE)) == list(entries_of(before, Kind.RULE))
    assert entries_of(made, Kind.RULE)[RULE]["says"] == "Look at the tail first."
    assert digest_of(before) == untouched
