"""Whether a fault has come back: the pure rule, and the rule asked for a case's rows."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from diagnostics.models import Case
from diagnostics.recurrence import repeats
from diagnostics.recurrence.repeats import PastCase, Window
from diagnostics.services import cases
from plant.loop.vocabulary import Zone
from tests.diagnostics.factories import NOW, later, make_case, make_conveyor, make_plant

PROVED = datetime(2026, 3, 1, 12, tzinfo=UTC)
WINDOW = Window(days=180, same_place_m=15, loop_length_m=200)


def past(key=1, **changes):
    given = {
        "key": key,
        "cause_class": "return_idler",
        "opened_at": PROVED - timedelta(days=9),
        "proved_at": PROVED,
        "position_m": 120.0,
    }
    return PastCase(**{**given, **changes})


def asked(days_after=30.0, **changes):
    return past(99, opened_at=PROVED + timedelta(days=days_after), proved_at=None, **changes)


def test_same_family_within_the_window_has_come_back():
    found = repeats.repeated_case(asked(), [past()], WINDOW)

    assert (found.key, found.is_same_place) == (1, True)


@pytest.mark.parametrize(("days", "comes_back"), [(0, True), (180, True), (180.01, False)])
def test_window_counts_calendar_days_from_the_passed_proof_run(days, comes_back):
    assert (repeats.repeated_case(asked(days), [past()], WINDOW) is not None) is comes_back


def test_case_opened_before_the_proof_run_passed_is_no_repeat():
    assert repeats.repeated_case(asked(-0.01), [past()], WINDOW) is None


def test_other_family_has_not_come_back():
    assert repeats.repeated_case(asked(cause_class="take_up"), [past()], WINDOW) is None


def test_case_without_a_cause_repeats_nothing():
    nameless = past(cause_class="")

    assert repeats.repeated_case(asked(cause_class=""), [nameless], WINDOW) is None


def test_case_that_never_passed_a_proof_run_is_not_repeated():
    assert repeats.repeated_case(asked(), [past(proved_at=None)], WINDOW) is None


def test_case_does_not_repeat_itself():
    alone = past(99)

    assert repeats.repeated_case(asked(), [alone], WINDOW) is None


@pytest.mark.parametrize(
    ("one_m", "other_m", "is_same"),
    [
        (120.0, 135.0, True),
        (120.0, 135.1, False),
        (199.0, 4.0, True),  # over the seam: 5 m apart on a loop of 200 m
        (4.0, 199.0, True),
        (190.0, 20.0, False),
        (None, 20.0, None),
        (20.0, None, None),
    ],
)
def test_same_place_is_within_the_distance_the_shortest_way_round(one_m, other_m, is_same):
    found = repeats.repeated_case(asked(position_m=one_m), [past(position_m=other_m)], WINDOW)

    assert found.is_same_place is is_same


def test_of_several_the_one_at_the_same_place_goes_before_a_later_one_elsewhere():
    elsewhere_later = past(2, position_m=60.0, proved_at=PROVED + timedelta(days=5))

    found = repeats.repeated_case(asked(), [elsewhere_later, past(1)], WINDOW)

    assert found.key == 1


def test_of_several_at_the_same_place_the_latest_counts():
    late = past(2, proved_at=PROVED + timedelta(days=5))

    for order in ([late, past(1)], [past(1), late]):
        assert repeats.repeated_case(asked(), order, WINDOW).key == 2


def test_unknown_loop_length_compares_along_the_belt():
    short = replace(WINDOW, loop_length_m=None)

    found = repeats.repeated_case(asked(position_m=199.0), [past(position_m=4.0)], short)

    assert found.is_same_place is False


def _with_cause(case, cause_class, position_m, *, now, proved_at=None):
    cases.mark_cause(
        case,
        cause="return_idler_skewed",
        cause_class=cause_class,
        zone=Zone.RETURN_BEFORE,
        position_m=position_m,
        now=now,
    )
    Case.objects.filter(pk=case.pk).update(proved_at=proved_at)
    case.refresh_from_db()
    return case


@pytest.mark.django_db
def test_confirmed_cause_marks_the_case_as_the_repeat_it_is():
    conveyor = make_conveyor(make_plant(recurrence_window_days=60))
    first = _with_cause(make_case(conveyor), "return_idler", 88.0, now=NOW, proved_at=NOW)
    again = make_case(conveyor, now=later(days=59))
    much_later = make_case(conveyor, now=later(days=61))

    _with_cause(again, "return_idler", 85.0, now=later(days=60))
    _with_cause(much_later, "return_idler", 85.0, now=later(days=62))

    assert again.repeat_of == first
    assert much_later.repeat_of is None


@pytest.mark.django_db
def test_case_of_another_conveyor_is_not_repeated():
    plant = make_plant()
    _with_cause(make_case(make_conveyor(plant)), "return_idler", 88.0, now=NOW, proved_at=NOW)
    other = make_case(make_conveyor(plant), now=later(days=5))

    _with_cause(other, "return_idler", 88.0, now=later(days=6))

    assert other.repeat_of is None


@pytest.mark.django_db
def test_cause_taken_away_is_no_repeat_any_more():
    conveyor = make_conveyor()
    _with_cause(make_case(conveyor), "return_idler", 88.0, now=NOW, proved_at=NOW)
    again = make_case(conveyor, now=later(days=5))
    _with_cause(again, "return_idler", 88.0, now=later(days=6))
    assert again.repeat_of is not None

    cases.unmark_cause(again)

    again.refresh_from_db()
    assert again.repeat_of is None
    assert (again.cause, again.cause_class, again.zone, again.position_m) == ("", "", "", None)
