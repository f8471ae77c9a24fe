"""What a case file says was seen: the sightings of a walk-down and the timed look."""

from diagnostics.inference.case_file.conveyor import read_run
from diagnostics.inference.case_file.fields import CaseFileError, Field
from diagnostics.inference.evidence import Sighting, Tap, TimedLook
from diagnostics.inference.vocabulary import (
    Degree,
    LoadState,
    Persistence,
    TapEvent,
    TimedLookKind,
)
from plant.loop.path import Loop
from plant.loop.vocabulary import Side

# More than anybody looks at in one walk; each costs a look at every idler.
MOST_SIGHTINGS = 1000
# A belt farther off than this left the conveyor long ago. [mm]
LARGEST_OFFSET_MM = 20_000.0
# Ten days, and what a sensor can sample. [s, 1/s]
LONGEST_S, RATE_HZ = 864_000.0, (0.001, 10_000.0)


def read_sightings(walk_down: Field, loop: Loop) -> tuple[Sighting, ...]:
    rows = list(walk_down.rows())
    if len(rows) > MOST_SIGHTINGS:
        raise CaseFileError(f"{walk_down.place}: more than {MOST_SIGHTINGS} rows are not read.")
    return tuple(_read_sighting(row, loop) for row in rows)


def _read_sighting(row: Field, loop: Loop) -> Sighting:
    station = row.entry("station").text()
    offset_mm = row.maybe("offset_mm").number_or_none(-LARGEST_OFFSET_MM, LARGEST_OFFSET_MM)
    degree = row.maybe("degree").word_or_none(Degree)
    side = row.maybe("side").word_or_none(Side)
    if offset_mm is None and degree is None:
        raise CaseFileError(
            f"{row.place}: offset_mm: give an offset in millimetres, or a degree with its side."
        )
    if offset_mm is None and degree is not Degree.CENTRED and side is None:
        raise CaseFileError(
            f"{row.place}: side: must be left or right when the degree is {degree} "
            "and no offset_mm is given."
        )
    return Sighting(
        station=station,
        run=read_run(row.entry("run")),
        position_m=read_position(row.entry("position_m"), loop),
        load=row.entry("load").word(LoadState),
        offset_mm=offset_mm,
        degree=degree,
        side=None if degree is Degree.CENTRED else side,
        persistence=row.maybe("persistence").word_or_none(Persistence),
    )


def read_position(field: Field, loop: Loop) -> float:
    """A place on the loop. [m]"""
    position_m = field.number()
    if not 0 <= position_m < loop.length_m:
        raise field.refuse(f"on the loop, from 0 m to less than {loop.length_m:.3f} m")
    return position_m


def read_timed_looks(watch: Field, loop: Loop) -> tuple[TimedLook, ...]:
    """The belt watch of a case: none, one, or an array of them."""
    if watch.value is None:
        return ()
    if isinstance(watch.value, list):
        return tuple(_read_timed_look(row, loop) for row in watch.rows())
    return (_read_timed_look(watch, loop),)


def _read_timed_look(watch: Field, loop: Loop) -> TimedLook:
    kind = watch.entry("kind").word(TimedLookKind)
    station = watch.entry("station").text()
    run = read_run(watch.entry("run"))
    position_m = read_position(watch.entry("position_m"), loop)
    passes = _read_times(watch.maybe("splice_passes_s"))
    if kind is TimedLookKind.TAPS:
        taps = _read_taps(watch.entry("events"))
        duration = watch.maybe("duration_s")
        lasted_s = taps[-1].at_s if taps else 0.0
        if duration.value is not None:
            lasted_s = duration.number(lasted_s, LONGEST_S)
        return TimedLook(
            station, run, position_m, kind, lasted_s, taps=taps, splice_passes_s=passes
        )
    rate_hz = watch.entry("rate_hz").number(*RATE_HZ)
    offsets = _read_offsets(watch.entry("offset_mm"))
    return TimedLook(
        station,
        run,
        position_m,
        kind,
        watch.maybe("duration_s").number_or(max(len(offsets) - 1, 0) / rate_hz, 0, LONGEST_S),
        rate_hz=rate_hz,
        offsets_mm=offsets,
        splice_passes_s=passes,
    )


def _read_offsets(field: Field) -> tuple[float, ...]:
    return tuple(row.number(-LARGEST_OFFSET_MM, LARGEST_OFFSET_MM) for row in field.rows())


def _read_times(field: Field) -> tuple[float, ...]:
    if field.value is None:
        return ()
    times: list[float] = []
    for row in field.rows():
        times.append(row.number(0, LONGEST_S))
        _check_forwards(row, times)
    return tuple(times)


def _read_taps(field: Field) -> tuple[Tap, ...]:
    times: list[float] = []
    taps = []
    for row in field.rows():
        at = row.entry("t_s")
        times.append(at.number(0, LONGEST_S))
        _check_forwards(at, times)
        taps.append(Tap(times[-1], row.entry("event").word(TapEvent)))
    return tuple(taps)


def _check_forwards(field: Field, times: list[float]) -> None:
    if len(times) > 1 and times[-1] < times[-2]:
        raise field.refuse(f"a time from {times[-2]:g} s on, for times do not run backwards")
