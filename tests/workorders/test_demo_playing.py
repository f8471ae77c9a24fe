"""Invented stories go on together, in the order of the calendar, and tell how far they are."""

from collections.abc import Iterator
from datetime import UTC, datetime

from workorders.services.demo_history.playing import play


def day(number: int) -> datetime:
    return datetime(2026, 3, number, tzinfo=UTC)


def story(name: str, days: list[int], heard: list[str]) -> Iterator[datetime]:
    for number in days:
        yield day(number)
        heard.append(f"{name}{number}")


def test_stories_take_turns_by_the_calendar():
    heard: list[str] = []

    play([story("a", [1, 5], heard), story("b", [2, 3], heard)])

    assert heard == ["a1", "b2", "b3", "a5"]


def test_every_story_that_ends_is_told():
    told: list[tuple[int, int]] = []

    play(
        [story("a", [1, 5], []), story("b", [2, 3], []), story("c", [4], [])],
        told=lambda done, of: told.append((done, of)),
    )

    assert told == [(1, 3), (2, 3), (3, 3)]
