"""Kinds of events, ranked."""

from diagnostics.recurrence.pareto import pareto, vital_few


def test_the_largest_kind_stands_first_and_shares_add_up():
    rows = pareto(["splice"] * 2 + ["loading"] * 5 + ["tail"] * 3)

    assert [(row.key, row.events) for row in rows] == [("loading", 5), ("tail", 3), ("splice", 2)]
    assert [row.share for row in rows] == [0.5, 0.3, 0.2]
    assert [row.cumulative for row in rows] == [0.5, 0.8, 1.0]


def test_the_unknown_stand_last_however_many_they_are():
    rows = pareto(["", "", "", "tail"])

    assert [row.key for row in rows] == ["tail", ""]
    assert rows[-1].cumulative == 1.0


def test_of_two_alike_the_order_decides():
    assert [row.key for row in pareto(["b", "a"], ["b", "a"])] == ["b", "a"]
    assert [row.key for row in pareto(["b", "a"])] == ["a", "b"]


def test_no_events_make_no_rows():
    assert pareto([]) == ()
    assert vital_few(()) == ()


def test_the_vital_few_reach_four_fifths():
    rows = pareto(["a"] * 5 + ["b"] * 3 + ["c"] * 2)

    assert [row.key for row in vital_few(rows)] == ["a", "b"]


def test_where_most_are_unknown_all_that_is_known_is_named():
    assert [row.key for row in vital_few(pareto(["", "", "", "a", "b"]))] == ["a", "b"]
