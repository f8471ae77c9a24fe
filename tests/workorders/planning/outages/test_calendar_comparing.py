"""What a calendar changes among the windows that stand."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from workorders.planning.outages.calendar_file.comparing import (
    GONE_SAID,
    Change,
    Standing,
    Wanted,
    compare,
)
from workorders.planning.outages.calendar_file.laying_out import Occurrence

TUESDAY = datetime(2027, 3, 2, 6, tzinfo=UTC)
WEEK = timedelta(days=7)
_UTC = ZoneInfo("UTC")


def wanted(at: datetime = TUESDAY, uid: str = "a", **fields) -> Wanted:
    defaults = {
        "id_at": at,
        "starts_at": at,
        "ends_at": at + timedelta(hours=8),
        "name": "Q30",
        "words": (),
        "line": 1,
        "is_cancelled": False,
        "comes_back": False,
    }
    return Wanted(Occurrence(uid=uid, **{**defaults, **fields}), frozenset({"Q30"}))


def standing(one: Wanted, key: int = 1, **fields) -> Standing:
    """The window that an earlier file of the same calendar made."""
    occurrence = one.occurrence
    made = Standing(
        key=key,
        uid=occurrence.uid,
        id_at=occurrence.id_at,
        starts_at=occurrence.starts_at,
        ends_at=occurrence.ends_at,
        name=occurrence.name,
        tags=one.tags,
        is_off=False,
        said=one.said(),
    )
    return replace(made, **fields)


def changes(
    new: list[Wanted], old: list[Standing], gone_from=(1, 2, 3)
) -> list[tuple[Change, int | None]]:
    return [
        (one.change, one.standing.key if one.standing else None)
        for one in compare(new, old, gone_from=gone_from, zone=_UTC)
    ]


def test_what_was_never_here_is_new_and_the_same_file_again_changes_nothing():
    one, other = wanted(), wanted(TUESDAY + WEEK, uid="b")

    assert changes([one, other], []) == [(Change.NEW, None)] * 2
    assert changes([one, other], [standing(one), standing(other, 2)]) == [
        (Change.UNCHANGED, 1),
        (Change.UNCHANGED, 2),
    ]


def test_a_single_event_put_to_another_day_is_the_same_window():
    moved = wanted(TUESDAY + timedelta(days=2))

    assert changes([moved], [standing(wanted())]) == [(Change.MOVED, 1)]


def test_a_series_put_to_another_hour_is_known_again_by_its_days():
    def weekly(hour: int) -> list[Wanted]:
        return [wanted(TUESDAY.replace(hour=hour) + n * WEEK, comes_back=True) for n in range(3)]

    old = [standing(one, key) for key, one in enumerate(weekly(6), start=1)]

    assert changes(weekly(8), old) == [(Change.MOVED, 1), (Change.MOVED, 2), (Change.MOVED, 3)]


def test_a_series_put_to_another_day_is_gone_and_new():
    old = [standing(wanted(TUESDAY, comes_back=True))]
    new = [wanted(TUESDAY + timedelta(days=1), comes_back=True)]

    assert changes(new, old) == [(Change.NEW, None), (Change.GONE, 1)]


def test_what_a_planner_did_stands_while_the_calendar_says_the_same():
    one = wanted()
    later = TUESDAY + timedelta(hours=3)
    by_hand = standing(one, starts_at=later, is_off=True)

    assert changes([one], [by_hand]) == [(Change.UNCHANGED, 1)]
    said_anew = wanted(ends_at=TUESDAY + timedelta(hours=4))
    assert changes([said_anew], [standing(one, starts_at=later)]) == [(Change.MOVED, 1)]


def test_a_cancelled_event_calls_its_window_off_once_and_may_bring_it_back():
    one, off = wanted(), wanted(is_cancelled=True)

    assert changes([off], []) == []
    assert changes([off], [standing(one)]) == [(Change.CALLED_OFF, 1)]
    assert changes([off], [standing(off, is_off=True)]) == [(Change.UNCHANGED, 1)]
    assert changes([one], [standing(off, is_off=True)]) == [(Change.BACK, 1)]


def test_another_name_or_other_conveyors_are_a_change():
    one = wanted()
    renamed = wanted(name="Q30 and its chute")
    of_others = replace(one, tags=frozenset({"Q31"}))

    assert changes([renamed], [standing(one)]) == [(Change.CHANGED, 1)]
    assert changes([of_others], [standing(one)]) == [(Change.CHANGED, 1)]


def test_what_the_file_no_longer_has_is_gone_only_where_that_was_asked():
    one, other = wanted(), wanted(TUESDAY + WEEK, uid="b")
    rows = [standing(one), standing(other, 2)]

    assert changes([one], rows, gone_from=[1, 2]) == [(Change.UNCHANGED, 1), (Change.GONE, 2)]
    assert changes([one], rows, gone_from=[1]) == [(Change.UNCHANGED, 1)]
    # Called off already, or taken up again by a planner after it had gone.
    assert changes([one], [rows[0], replace(rows[1], is_off=True)]) == [(Change.UNCHANGED, 1)]
    assert changes([one], [rows[0], replace(rows[1], said=GONE_SAID)]) == [(Change.UNCHANGED, 1)]
    # In a later file again.
    again = replace(rows[1], said=GONE_SAID, is_off=True)
    assert changes([one, other], [rows[0], again]) == [(Change.UNCHANGED, 1), (Change.BACK, 2)]
