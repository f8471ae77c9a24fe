"""Which orders want attention, and that a new occasion is a new fact."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from workorders.attention import AttentionKind, Standing, attention_wanted

TODAY = date(2026, 11, 28)
NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("standing", "kinds"),
    [
        ({}, []),
        ({"due_on": TODAY}, []),
        ({"due_on": TODAY - timedelta(days=1)}, ["overdue"]),
        ({"due_on": TODAY - timedelta(days=1), "is_open": False}, []),
        ({"is_scheduled": True, "planned_for": NOW}, []),
        ({"is_scheduled": True, "planned_for": NOW - timedelta(minutes=1)}, ["not_begun"]),
        ({"planned_for": NOW - timedelta(days=1)}, []),
        ({"waits_for_parts": True}, ["parts"]),
        ({"waits_for_parts": True, "is_open": False}, []),
        ({"is_open": False, "is_to_be_proved": True}, ["proof"]),
        ({"waits_for_parts": True, "due_on": date(2026, 1, 1)}, ["overdue", "parts"]),
    ],
)
def test_an_order_wants_attention_for_what_stands(standing: dict[str, Any], kinds: list[str]):
    found = attention_wanted(Standing(**{"is_open": True, **standing}), TODAY, NOW)

    assert [one.kind.value for one in found] == kinds


@pytest.mark.parametrize(
    ("kind", "name", "first", "second"),
    [
        (AttentionKind.OVERDUE, "due_on", date(2026, 11, 1), date(2026, 11, 2)),
        (AttentionKind.NOT_BEGUN, "planned_for", NOW - timedelta(2), NOW - timedelta(1)),
        (AttentionKind.PARTS, "waits_since", NOW - timedelta(2), NOW - timedelta(1)),
        (AttentionKind.PROOF, "done_at", NOW - timedelta(2), NOW - timedelta(1)),
    ],
)
def test_another_day_or_moment_is_another_fact(
    kind: AttentionKind, name: str, first: Any, second: Any
):
    def fact(value: Any) -> str:
        asked = Standing(True, True, True, True, **{name: value})
        return next(one.fact for one in attention_wanted(asked, TODAY, NOW) if one.kind is kind)

    assert fact(first) == fact(first) != fact(second)
