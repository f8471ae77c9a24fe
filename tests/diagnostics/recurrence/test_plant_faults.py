"""All belts of a plant at once: every figure, and what is said where there is none."""

import json

import numpy as np
import pytest
from scipy import stats

from diagnostics.recurrence import false_discovery, mean_cumulative, power_law, rates, trend_tests
from diagnostics.recurrence.faults.given import UNKNOWN, Watch, no_events
from diagnostics.recurrence.faults.notes import About
from diagnostics.recurrence.faults.plant import MOST_STEPS, PlantFaults, UnreadableFaults
from diagnostics.recurrence.faults.reckoning import Reckoned
from diagnostics.recurrence.histories import from_lists
from tests.diagnostics.recurrence.plants import FAMILIES, STRETCHES, events_of, reckoned


def notes(found: Reckoned) -> dict[About, int]:
    return {note.about: note.count for note in found.plant.notes}


def some_plant(belts: int = 25, seed: int = 5, **how: float) -> tuple[Reckoned, list[list[float]]]:
    """Belts that differ in rate, one of them much worse than the rest and getting worse."""
    rng = np.random.default_rng(seed)
    lists = [sorted(1000 * (1 - rng.uniform(size=rng.poisson(4)))) for _ in range(belts)]
    lists[3] = (1000 * (1 - rng.uniform(size=30) ** 3)).tolist()
    index = np.repeat(np.arange(belts), [len(one) for one in lists])
    times = [one for own in lists for one in own]
    return reckoned(events_of(index, times), [1000.0] * belts, **how), lists


def test_each_belt_gets_what_its_own_estimators_say_of_it():
    found, lists = some_plant(rate_per=100)
    histories = from_lists(lists, end=[1000.0] * len(lists))
    belts = found.belts

    alone = rates.shrunk_rates(histories.counts, histories.exposure)
    assert belts.shrunk == pytest.approx(alone.shrunk * 100)
    assert belts.lower == pytest.approx(alone.lower * 100)
    assert belts.probability_worse == pytest.approx(alone.probability_worse)
    assert belts.exposure.tolist() == [1000.0] * len(lists)
    assert belts.on_clock.tolist() == [len(one) for one in lists]

    each = trend_tests.military_handbook_each(histories)
    enough = histories.counts >= 3
    p = false_discovery.adjusted_probabilities(np.where(enough, each.p_two_sided, np.nan))
    assert belts.trend_p == pytest.approx(p, nan_ok=True)
    shapes = power_law.shape_each(histories).corrected
    assert belts.trend_shape[enough] == pytest.approx(shapes[enough])


def test_the_plant_gets_what_the_estimators_say_of_all_belts():
    found, lists = some_plant()
    histories = from_lists(lists, end=[1000.0] * len(lists))
    plant = found.plant

    course = mean_cumulative.mean_cumulative(histories)
    assert plant.mean.steps == len(plant.mean.time) == len(course.time)
    assert plant.mean.mcf == pytest.approx(course.mcf)
    assert plant.mean.upper == pytest.approx(course.upper)
    handbook = trend_tests.military_handbook(histories)
    assert plant.trend.handbook_p == pytest.approx(float(handbook.p_two_sided))
    assert plant.trend.laplace_u == pytest.approx(float(trend_tests.laplace(histories).u))
    assert plant.trend.shape == pytest.approx(power_law.fit_power_law(histories).shape_corrected)
    assert plant.rates.pooled == pytest.approx(histories.events / 25_000)


def test_the_worst_belt_is_surely_worse_and_getting_worse():
    found, _ = some_plant()

    assert found.belts.probability_worse[3] > 0.999
    assert found.belts.trend[3] == 1
    assert found.belts.trend_shape[3] > 1
    assert int(found.belts.probability_worse.argmax()) == 3


def test_a_belt_whose_cases_thin_out_gets_better():
    early = (np.arange(1, 21) ** 2 / 2).tolist()
    found = reckoned(events_of([0] * 20 + [1] * 4, [*early, 100, 300, 500, 700]), [1000, 1000])

    assert found.belts.trend.tolist() == [-1, 0]
    assert found.belts.trend_shape[0] < 1


def test_fair_rates_do_not_depend_on_the_unit_of_exposure():
    in_hours, lists = some_plant(rate_per=1000)
    times = [one / 24 for own in lists for one in own]
    index = np.repeat(np.arange(len(lists)), [len(one) for one in lists])
    in_days = reckoned(events_of(index, times), [1000 / 24] * len(lists), rate_per=1000 / 24)

    assert in_days.belts.shrunk == pytest.approx(in_hours.belts.shrunk, rel=1e-6)
    assert in_days.belts.probability_worse == pytest.approx(in_hours.belts.probability_worse)
    assert in_days.belts.trend_p == pytest.approx(in_hours.belts.trend_p, nan_ok=True)


def test_cases_are_counted_by_stretch_family_zone_and_belt():
    found = reckoned(
        events_of(
            [0, 0, 0, 1, 1],
            [10, 20, 30, 10, 20],
            stretch=[0, 2, 2, 1, 3],
            repeats=[False, True, True, False, False],
            hours=[4.0, np.nan, 1.5, 0.0, np.nan],
            families=[1, 1, 0, UNKNOWN, UNKNOWN],
            zones=[0, 1, 1, UNKNOWN, 0],
        ),
        [100, 100],
    )
    counted = found.belts.counted

    assert counted.events.tolist() == [3, 2]
    assert counted.repeats.tolist() == [2, 0]
    assert counted.lost_hours.tolist() == [5.5, 0.0]
    assert counted.lost_hours_unsaid.tolist() == [1, 1]
    assert counted.course.tolist() == [[1, 0, 2, 0], [0, 1, 0, 1]]
    assert counted.leading.tolist() == [1, UNKNOWN]
    assert counted.zones.tolist() == [[1, 2], [1, 0]]
    assert found.plant.families == (("belt_splice", 2), ("return_idler", 1), ("", 2))
    assert found.plant.zones == (("tail", 2), ("load zone", 2), ("", 1))
    assert found.plant.course == (1, 1, 2, 1)


def test_of_two_families_with_as_many_cases_the_one_that_cost_more_hours_leads():
    def leading(hours: list[float]) -> str:
        found = reckoned(
            events_of([0] * 4, [1, 2, 3, 4], families=[0, 0, 2, 2], hours=hours), [10.0]
        )
        return FAMILIES[found.belts.counted.leading[0]]

    assert leading([1, 1, 5, 5]) == "loading"
    assert leading([5, 5, 1, 1]) == "return_idler"
    assert leading([np.nan] * 4) == "return_idler"
    # However many hours: more cases go first.
    more = reckoned(events_of([0] * 3, [1, 2, 3], families=[0, 0, 2], hours=[0, 0, 1e6]), [10.0])
    assert more.belts.counted.leading.tolist() == [0]


def test_without_cases_there_are_counts_of_zero_and_no_made_up_figures():
    found = reckoned(no_events(), [100, 100, 100])

    assert found.belts.counted.events.tolist() == [0, 0, 0]
    assert found.belts.rate.tolist() == [0, 0, 0]
    assert np.isnan(found.belts.probability_worse).all()
    assert np.isnan(found.belts.trend_p).all()
    assert found.belts.trend.tolist() == [0, 0, 0]
    assert found.plant.mean.time == ()
    assert found.plant.trend.shape is None
    # Exact: with no event in 300 the upper 95 % limit is -ln(0.05) / 300.
    assert found.plant.rates.upper == pytest.approx(-np.log(0.05) / 300)
    assert notes(found) == {About.NO_EVENTS: 0}


def test_a_plant_without_belts_has_no_figures_at_all():
    found = reckoned(no_events(), [])

    assert (found.plant.belts, found.plant.events) == (0, 0)
    assert found.plant.rates.pooled is None
    assert found.plant.course == (0,) * len(STRETCHES)


def test_one_belt_alone_has_a_rate_and_a_trend_but_nobody_to_be_worse_than():
    times = [100, 400, 600, 700, 780, 830, 870, 900, 930, 950, 970, 990]
    found = reckoned(events_of([0] * 12, times), [1000.0])

    assert found.belts.rate.tolist() == [0.012]
    assert found.belts.shrunk == pytest.approx([0.012])
    exact = stats.chi2.ppf([0.05, 0.95], [24, 26]) / 2000
    assert [found.belts.lower[0], found.belts.upper[0]] == pytest.approx(exact)
    assert np.isnan(found.belts.probability_worse[0])
    assert found.belts.trend.tolist() == [1]
    assert set(found.plant.mean.upper) == {None}
    assert notes(found) == {About.ONE_BELT: 0, About.NO_PRIOR_FEW: 1}


def test_cases_outside_the_watch_or_in_gaps_count_but_make_no_rate_and_are_named():
    times = [-np.inf, 0.0, 50.0, 100.0, 100.5, np.inf, np.nan]
    found = reckoned(events_of([0] * 7, times, at=range(7)), [100.0, 100.0])

    assert found.belts.counted.events.tolist() == [7, 0]
    assert found.belts.on_clock.tolist() == [2, 0]
    assert found.belts.left_out.tolist() == [5, 0]
    assert found.belts.rate.tolist() == [0.02, 0.0]
    assert (found.plant.events, found.plant.counted) == (7, 2)
    assert {About.BEFORE_WATCH: 2, About.AFTER_WATCH: 2, About.IN_GAPS: 1}.items() <= notes(
        found
    ).items()


def test_two_cases_at_one_instant_are_two_and_are_named():
    found = reckoned(events_of([0, 0, 0, 1, 1], [10, 10, 40, 10, 70]), [100.0, 100.0])

    assert found.belts.on_clock.tolist() == [3, 2]
    assert found.plant.mean.mcf == pytest.approx((1.5, 2.0, 2.5))
    assert notes(found)[About.SAME_INSTANT] == 1


def test_a_case_is_not_at_another_s_instant_because_its_belt_stood():
    # The meter shows the same; the clock on the wall does not.
    found = reckoned(events_of([0, 0], [10, 10], at=[5, 6]), [100.0])

    assert About.SAME_INSTANT not in notes(found)


def test_a_belt_that_came_late_is_at_risk_only_from_then_on():
    found = reckoned(events_of([0, 0, 1], [20, 80, 80]), [100.0, 100.0], entry=[0.0, 60.0])

    assert found.belts.exposure.tolist() == [100.0, 40.0]
    assert found.belts.rate == pytest.approx([0.02, 0.025])
    assert found.plant.mean.at_risk == (1.0, 2.0)
    assert found.plant.mean.mcf == pytest.approx((1.0, 2.0))


def test_a_retired_belt_counts_up_to_its_end():
    found = reckoned(events_of([0, 1], [20, 80]), [30.0, 100.0])

    assert found.belts.rate == pytest.approx([1 / 30, 0.01])
    assert found.plant.mean.at_risk == (2.0, 1.0)


def test_a_belt_without_known_exposure_is_counted_and_has_no_rate():
    found = reckoned(events_of([0, 0, 1], [np.nan, 5.0, 50.0]), [0.0, 100.0])

    assert found.belts.counted.events.tolist() == [2, 1]
    assert np.isnan([found.belts.rate[0], found.belts.exposure[0], found.belts.shrunk[0]]).all()
    assert found.belts.rate[1] == pytest.approx(0.01)
    assert (found.plant.belts, found.plant.watched) == (2, 1)
    assert notes(found)[About.NO_EXPOSURE] == 1
    assert notes(found)[About.IN_GAPS] == 2


def test_where_half_of_the_belts_had_no_case_the_usual_rate_is_that_of_the_fair_rates():
    belts = [0] * 12 + [1] * 8 + [2]
    times = np.linspace(5, 95, 21)
    found = reckoned(events_of(belts, times), [100.0] * 8)

    assert About.USUAL_OF_FAIR in notes(found)
    assert found.plant.rates.usual == pytest.approx(float(np.median(found.belts.shrunk)))
    assert found.plant.rates.threshold == pytest.approx(1.5 * np.median(found.belts.shrunk))
    assert found.belts.probability_worse[0] > found.belts.probability_worse[2] > 0


def test_belts_that_differ_no_more_than_by_chance_share_one_rate_and_none_is_held_worse():
    belts = np.repeat(np.arange(6), 5)
    found = reckoned(events_of(belts, np.tile([10, 30, 50, 70, 90], 6)), [100.0] * 6)

    assert found.belts.shrunk == pytest.approx([0.05] * 6)
    assert np.isnan(found.belts.probability_worse).all()
    assert found.plant.rates.prior_a is None
    assert notes(found)[About.NO_PRIOR_ALIKE] == 6


def test_of_many_belts_without_a_trend_hardly_one_is_called_worse():
    rng = np.random.default_rng(2)
    belts = np.repeat(np.arange(400), 8)
    found = reckoned(events_of(belts, 100 * (1 - rng.uniform(size=3200))), [100.0] * 400)

    # At 10 % each by itself, about forty would have been.
    assert np.count_nonzero(found.belts.trend) <= 3


def test_two_cases_are_no_course_however_late_they_come():
    found = reckoned(events_of([0, 0], [99.999, 99.9999]), [100.0])

    assert found.belts.trend.tolist() == [0]
    assert np.isnan(found.belts.trend_p).all()


def test_belts_alike_to_the_last_event_have_no_limits_of_width_nothing():
    found = reckoned(events_of([0, 1], [10, 10]), [100.0, 100.0]).plant.mean

    assert (found.mcf, found.lower, found.upper) == ((1.0,), (None,), (None,))


def test_a_long_course_is_thinned_and_keeps_its_first_and_last_step():
    rng = np.random.default_rng(8)
    belts = rng.integers(0, 30, 3000)
    times = 500 * (1 - rng.uniform(size=3000))
    found = reckoned(events_of(belts, times), [500.0] * 30).plant.mean

    assert found.steps == 3000
    assert 0.9 * MOST_STEPS <= len(found.time) <= MOST_STEPS
    assert (found.time[0], found.time[-1]) == (times.min(), times.max())
    assert found.mcf[-1] == pytest.approx(100)
    assert np.diff(found.mcf).max() < 2 * 100 / MOST_STEPS


def test_figures_of_a_plant_are_read_back_as_they_were_written():
    for found in (
        some_plant()[0],
        reckoned(no_events(), []),
        reckoned(events_of([0, 0], [5.0, np.inf], families=[1, -1]), [10.0]),
    ):
        written = json.dumps(found.plant.as_json(), allow_nan=False)

        assert PlantFaults.of_json(json.loads(written)) == found.plant


@pytest.mark.parametrize(
    "spoil",
    [
        lambda written: written.clear(),
        lambda written: written.update(format=0),
        lambda written: written.pop("mean"),
        lambda written: written.update(notes=[["no such note", 1]]),
        lambda written: written["rates"].update(unheard=1),
    ],
)
def test_what_is_of_another_format_is_said_to_be_unreadable(spoil):
    written = some_plant()[0].plant.as_json()
    spoil(written)

    with pytest.raises(UnreadableFaults):
        PlantFaults.of_json(written)


@pytest.mark.parametrize(
    ("entry", "end"), [([0.0], [np.nan]), ([np.inf], [1.0]), ([-1.0], [1.0]), ([0.0, 0.0], [1.0])]
)
def test_a_watch_that_is_none_is_refused(entry, end):
    with pytest.raises(ValueError, match="entry"):
        Watch(np.array(entry), np.array(end))


def test_events_with_parts_missing_are_refused():
    whole = events_of([0, 0], [1.0, 2.0])

    with pytest.raises(ValueError, match="every array"):
        type(whole)(**{**vars(whole), "zone": np.array([1])})


def test_whoever_asked_hears_how_far_it_is_and_can_end_it():
    class Enough(Exception):
        pass

    heard: list[float] = []
    some_plant(tick=heard.append)
    assert heard == sorted(heard)
    assert all(0 < one < 1 for one in heard)

    def stop(share: float) -> None:
        raise Enough

    with pytest.raises(Enough):
        some_plant(tick=stop)
