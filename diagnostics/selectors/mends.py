"""What was done about the cases of a plant's belts, and what of it did not hold."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from diagnostics import fixes
from diagnostics.fixes import Fix
from diagnostics.models import Case
from diagnostics.recurrence import repeats
from diagnostics.recurrence.faults.detail import FailedMend, TriedMend
from diagnostics.recurrence.faults.given import UNKNOWN
from diagnostics.recurrence.histories import Counts
from diagnostics.recurrence.repeats import PastCase, Window
from diagnostics.selectors.plant_events import PlantEvents
from diagnostics.selectors.trends import NO_EVENT
from plant.models import Conveyor
from plant.selectors import loops

# Of each belt the latest: older ones tell less, and of a large plant the lists must end somewhere.
MOST_A_BELT = 10


@dataclass(frozen=True)
class Mends:
    """By index of the belt; a belt without any is left out."""

    failed: Mapping[int, tuple[FailedMend, ...]]
    tried: Mapping[int, tuple[TriedMend, ...]]


@dataclass(frozen=True)
class _Row:
    key: int
    number: str
    conveyor: int
    family: str
    opened_at: datetime
    proved_at: datetime | None
    position_m: float | None

    @property
    def past(self) -> PastCase:
        return PastCase(self.key, self.family, self.opened_at, self.proved_at, self.position_m)


def mends_of(given: PlantEvents, leading: Counts) -> Mends:
    """Mends that did not hold, and those tried for each belt's leading family.

    Seven queries at most, however many belts; `leading` is the family of each belt.
    """
    events = given.events
    back = given.latest(events.is_repeat, MOST_A_BELT)
    of_leading = given.latest(
        (events.family == leading[events.belt]) & (events.family != UNKNOWN), MOST_A_BELT
    )
    asked = {*given.repeat_of[back].tolist(), *given.case[of_leading].tolist()}
    known = fixes.fixes_of(asked) if asked else {}
    return Mends(_failed(given, back, known), _tried(given, of_leading, known))


def _failed(
    given: PlantEvents, back: Counts, known: Mapping[int, Sequence[Fix]]
) -> dict[int, tuple[FailedMend, ...]]:
    keys = {*given.case[back].tolist(), *given.repeat_of[back].tolist()}
    rows = _rows(keys)
    pairs = [
        (int(belt), rows[case], rows[earlier])
        for belt, case, earlier in zip(
            given.events.belt[back], given.case[back], given.repeat_of[back], strict=True
        )
        # One that was deleted while this was reckoned.
        if case in rows and earlier in rows
    ]
    lengths = _loop_lengths(given, [(case, earlier) for _, case, earlier in pairs])
    found: dict[int, list[FailedMend]] = defaultdict(list)
    for belt, case, earlier in pairs:
        window = _window(given, lengths.get(case.conveyor))
        done = known.get(earlier.key, ())
        found[belt].append(_failed_mend(given, case, earlier, done, window))
    return {belt: tuple(mends) for belt, mends in found.items()}


def _failed_mend(
    given: PlantEvents, case: _Row, earlier: _Row, done: Sequence[Fix], window: Window
) -> FailedMend:
    held = None if earlier.proved_at is None else (case.opened_at - earlier.proved_at).days
    last = done[-1] if done else None
    return FailedMend(
        case=case.number,
        earlier=earlier.number,
        back_on=given.plant.day_of(case.opened_at).isoformat(),
        family=case.family,
        days_held=held,
        order=last.number if last else "",
        title=last.title if last else "",
        method=last.method if last else "",
        is_same_place=repeats.is_same_place(case.past, earlier.past, window),
    )


def _tried(
    given: PlantEvents, of_leading: Counts, known: Mapping[int, Sequence[Fix]]
) -> dict[int, tuple[TriedMend, ...]]:
    keys = given.case[of_leading].tolist()
    # What turned out to be no fault did not come back.
    again = Case.objects.filter(repeat_of__in=keys).exclude(state__in=NO_EVENT)
    came_back = set(again.values_list("repeat_of_id", flat=True)) if keys else set()
    counts: dict[int, dict[str, list[int]]] = defaultdict(dict)
    titles: dict[str, str] = {}
    for belt, case in zip(given.events.belt[of_leading].tolist(), keys, strict=True):
        for fix in known.get(case, ()):
            # Work without a method is like no other work.
            own = counts[belt].setdefault(fix.method or fix.title, [0, 0])
            own[0] += 1
            own[1] += case in came_back
            titles[fix.method or fix.title] = fix.title
    return {
        belt: tuple(
            TriedMend(method if method != titles[method] else "", titles[method], times, failed)
            for method, (times, failed) in sorted(own.items(), key=lambda one: -one[1][0])
        )
        for belt, own in counts.items()
    }


def _rows(keys: Collection[int]) -> dict[int, _Row]:
    if not keys:
        return {}
    names = ("pk", "number", "conveyor_id", "cause_class", "opened_at", "proved_at", "position_m")
    return {row[0]: _Row(*row) for row in Case.objects.filter(pk__in=keys).values_list(*names)}


def _window(given: PlantEvents, loop_length_m: float | None) -> Window:
    plant = given.plant
    return Window(plant.recurrence_window_days, plant.recurrence_distance_m, loop_length_m)


def _loop_lengths(given: PlantEvents, pairs: Sequence[tuple[_Row, _Row]]) -> dict[int, float]:
    """Of belts where two places may be near only round the end of the loop."""
    straight = _window(given, None)
    asked = {
        case.conveyor
        for case, earlier in pairs
        if repeats.is_same_place(case.past, earlier.past, straight) is False
    }
    if not asked:
        return {}
    rows = loops.with_register(Conveyor.objects.filter(pk__in=asked))
    states = {row.pk: loops.state_of_loaded(row).loop for row in rows}
    return {pk: loop.length_m for pk, loop in states.items() if loop is not None}
