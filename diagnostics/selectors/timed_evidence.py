"""Timed looks as the engine's evidence."""

from datetime import datetime

from diagnostics.inference.evidence import Tap
from diagnostics.inference.evidence import TimedLook as LookFact
from diagnostics.inference.vocabulary import TapEvent, TimedLookKind
from diagnostics.inference.watching.samples import unpacked
from diagnostics.models import Case, TimedLook
from plant.loop.vocabulary import Run


def standing_timed_looks(case: Case, since: datetime | None) -> list[TimedLook]:
    """Not taken back; after a mend that did not hold, only those made since, if there are any."""
    rows = TimedLook.objects.filter(case=case, taken_back_at__isnull=True)
    rows = rows.order_by("started_at", "pk")
    if since is not None and rows.filter(started_at__gt=since).exists():
        rows = rows.filter(started_at__gt=since)
    return list(rows)


def fact_of(row: TimedLook) -> LookFact:
    """One row as the engine's evidence."""
    samples = unpacked(bytes(row.samples)) if row.samples else None
    return LookFact(
        station=row.station,
        run=Run(row.run),
        position_m=row.position_m,
        kind=TimedLookKind(row.kind),
        duration_s=row.duration_s,
        taps=tuple(Tap(at_s, TapEvent(event)) for at_s, event in _taps(row)),
        offsets_mm=() if samples is None else tuple(samples.offsets_mm.tolist()),
        times_s=() if samples is None else tuple(samples.times_s.tolist()),
        splice_passes_s=tuple(row.splice_passes_s),
        is_running_backwards=row.is_running_backwards,
    )


def _taps(row: TimedLook) -> list[tuple[float, str]]:
    return [(float(at_s), event) for at_s, event in row.taps]
