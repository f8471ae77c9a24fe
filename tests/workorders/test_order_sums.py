"""What several orders come to as one: nothing that keeps people safe is lost."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random

import pytest

from workorders.order_sums import Content, Halves, less, split_hours, united
from workorders.urgency import Urgency

PLAIN = Content(
    tools=("square",),
    parts=(),
    cautions=("Isolate, lock, try.",),
    needs_isolation=False,
    hours=None,
    people=None,
    proof="",
    urgency=Urgency.WATCH,
    urgency_reasons=("Little is left.",),
    urgency_why="",
    due_on=None,
    earliest_on=None,
)


def some_contents(seed: int) -> list[Content]:
    """One to five orders, of every sort over the seeds."""
    chance = Random(seed)
    words = [(), ("a",), ("a", "b"), ("c", "b"), ("d", "a", "e")]
    days = [None, date(2026, 1, 1), date(2026, 7, 1), date(2027, 1, 1)]
    return [
        Content(
            tools=chance.choice(words),
            parts=chance.choice(words),
            cautions=chance.choice(words),
            needs_isolation=chance.random() < 0.5,
            hours=chance.choice([None, Decimal(0), Decimal("1.25"), Decimal(8)]),
            people=chance.choice([None, 1, 4]),
            proof=chance.choice(["", "Look at the head.", "Look at the tail."]),
            urgency=chance.choice(list(Urgency)),
            urgency_reasons=chance.choice(words),
            urgency_why=chance.choice(["", "the ship comes on Friday"]),
            due_on=chance.choice(days),
            earliest_on=chance.choice(days),
        )
        for _one in range(chance.randint(1, 5))
    ]


@pytest.mark.parametrize("seed", range(60))
def test_no_caution_tool_part_or_reason_is_lost_and_none_stands_twice(seed: int) -> None:
    many = some_contents(seed)

    one = united(many[0], many[1:])

    for name in ("cautions", "tools", "parts", "urgency_reasons"):
        every = [entry for content in many for entry in getattr(content, name)]
        assert sorted(getattr(one, name)) == sorted(set(every))
    assert one.needs_isolation is any(content.needs_isolation for content in many)


@pytest.mark.parametrize("seed", range(60))
def test_whichever_comes_first_the_figures_are_the_same(seed: int) -> None:
    many = some_contents(seed)
    turned = many[::-1]

    one, other = united(many[0], many[1:]), united(turned[0], turned[1:])

    for name in ("needs_isolation", "hours", "people", "urgency", "due_on", "earliest_on"):
        assert getattr(one, name) == getattr(other, name)


def test_the_most_urgent_gives_urgency_and_reasons_the_earliest_the_due_date() -> None:
    pressing = replace(
        PLAIN,
        urgency=Urgency.THIS_SHIFT,
        urgency_reasons=("It rubs.",),
        urgency_why="ship on Friday",
        due_on=date(2026, 12, 4),
        earliest_on=date(2026, 12, 1),
        hours=Decimal("1.5"),
        people=3,
    )
    slow = replace(
        PLAIN,
        due_on=date(2027, 1, 9),
        earliest_on=date(2026, 12, 2),
        hours=Decimal(2),
        people=1,
    )

    one = united(slow, [pressing])

    assert (one.urgency, one.urgency_why) == (Urgency.THIS_SHIFT, "ship on Friday")
    assert one.urgency_reasons == ("It rubs.", "Little is left.")
    assert (one.due_on, one.earliest_on) == (date(2026, 12, 4), date(2026, 12, 2))
    assert (one.hours, one.people) == (Decimal("3.5"), 3)


def test_capitals_make_no_second_tool() -> None:
    assert united(PLAIN, [replace(PLAIN, tools=("Square ", "jack"))]).tools == ("square", "jack")


@pytest.mark.parametrize(
    ("whole", "steps", "said", "stay", "go"),
    [
        ("5", ["1", "0.5"], None, "3.5", "1.5"),
        ("5", ["1", None], None, "4", "1"),
        ("5", [None], None, "5", None),
        ("5", ["1"], "2", "3", "2"),
        ("5", ["1"], "9", "0", "9"),
        (None, ["1"], None, None, "1"),
    ],
)
def test_hours_part_by_the_steps_that_go_unless_somebody_says(
    whole: str | None, steps: list[str | None], said: str | None, stay: str | None, go: str | None
) -> None:
    def hours(text: str | None) -> Decimal | None:
        return None if text is None else Decimal(text)

    parted = split_hours(hours(whole), [hours(one) for one in steps], hours(said))

    assert parted == Halves(hours(stay), hours(go))


def test_hours_that_go_back_leave_no_less_than_none() -> None:
    assert less(Decimal(3), Decimal(2)) == 1
    assert less(Decimal(1), Decimal(2)) == 0
    assert less(Decimal(3), None) == 3
    assert less(None, Decimal(2)) is None
