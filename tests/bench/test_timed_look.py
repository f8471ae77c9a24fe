"""What a sensor file of an hour takes: `pytest -m bench -s tests/bench/test_timed_look.py`.

Target on one core: 1 h at 50 Hz, 180 000 samples, read from the file and folded within 2 s. Nothing
is asserted: machines differ.
"""

import numpy as np
import pytest

from diagnostics.inference.evidence import TimedLook
from diagnostics.inference.vocabulary import TimedLookKind
from diagnostics.inference.watching.reading import read_watch
from diagnostics.inference.watching.samples import thinned
from diagnostics.inference.watching.sensor_file import read_sensor_file
from plant.loop.vocabulary import Run
from tests.diagnostics.watching.watches import BELT, SPEED_MPS, SPLICE_S, TURN_S

pytestmark = pytest.mark.bench

TARGET_S, HOURS_S, RATE_HZ = 2.0, 3600.0, 50.0


def an_hour(*, with_splice: bool, decimal: str = ".") -> bytes:
    rng = np.random.default_rng(7)
    times = np.arange(0, HOURS_S, 1 / RATE_HZ)
    apart = (times - 15 + TURN_S / 2) % TURN_S - TURN_S / 2
    offsets = 10 + rng.normal(0, 4, len(times)) + 45 * np.exp(-0.5 * (apart / 2) ** 2)
    marked = (times - SPLICE_S) % TURN_S < 0.5 / RATE_HZ
    rows = [
        f"{at:.2f};{offset:.2f};{'1' if mark and with_splice else ''}".replace(".", decimal)
        for at, offset, mark in zip(times, offsets, marked, strict=True)
    ]
    return "\n".join(["time [s];offset [mm];splice", *rows]).encode()


def told(content: bytes) -> float:
    samples = thinned(read_sensor_file(content))
    look = TimedLook(
        "R1",
        Run.RETURN,
        160.0,
        TimedLookKind.LOG,
        samples.watched_s,
        offsets_mm=tuple(samples.offsets_mm.tolist()),
        times_s=tuple(samples.times_s.tolist()),
        splice_passes_s=samples.splice_passes_s,
    )
    return read_watch(look, BELT, SPEED_MPS).travel.log_ratio


@pytest.mark.parametrize("with_splice", [True, False])
@pytest.mark.parametrize("decimal", [".", ","])
def test_an_hour_at_fifty_hertz_is_read_and_folded(benchmark, with_splice, decimal):
    content = an_hour(with_splice=with_splice, decimal=decimal)

    benchmark.pedantic(told, (content,), rounds=3)

    took_s = benchmark.stats.stats.median
    print(f"\n{len(content) / 1e6:.1f} MB, 180 000 samples: {took_s / TARGET_S:.2f} of the target")
