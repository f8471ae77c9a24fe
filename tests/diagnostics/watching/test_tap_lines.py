"""Taps as text lines, and samples as they are kept."""

import numpy as np
import pytest

from diagnostics.inference.vocabulary import TapEvent
from diagnostics.inference.watching.samples import Samples, packed, unpacked
from diagnostics.inference.watching.tap_lines import read_tap_lines


def test_lines_become_taps_and_the_end_the_duration():
    text = "12.4 over left\n\n 15,1 s back \n0:20 Splice\n1:05 over-right\n300 end\n"

    taps, duration_s = read_tap_lines(text, is_facing_tail=False)

    assert [(one.at_s, one.event) for one in taps] == [
        (12.4, TapEvent.OVER_LEFT),
        (15.1, TapEvent.BACK),
        (20.0, TapEvent.SPLICE),
        (65.0, TapEvent.OVER_RIGHT),
    ]
    assert duration_s == 300.0


def test_who_faces_the_tail_sees_left_and_right_changed_over():
    (tap,), _duration = read_tap_lines("5 over left", is_facing_tail=True)

    assert tap.event is TapEvent.OVER_RIGHT


def test_without_an_end_the_last_tap_ends_the_watch():
    assert read_tap_lines("5 over left\n9 back", is_facing_tail=False)[1] == 9.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("5 over", "line 1"),
        ("over left", "line 1"),
        ("5 over left\nx back", "line 2"),
        ("-5 back", "line 1"),
        ("nan back", "line 1"),
        ("5 over left\n4 back", "line 2: 4 s comes after 5 s"),
        ("5 end\n6 back", "after the end"),
        ("999999 back", "ten days"),
        ("\n".join(f"{n} back" for n in range(2002)), "at most 400 taps"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line(text, words):
    with pytest.raises(ValueError, match=words):
        read_tap_lines(text, is_facing_tail=False)


def test_samples_come_back_as_they_were_packed():
    rng = np.random.default_rng(1)
    samples = Samples(np.cumsum(rng.uniform(0.1, 20.0, 500)), rng.normal(0, 40, 500))

    back = unpacked(packed(samples))

    assert back.times_s == pytest.approx(samples.times_s, abs=0.0006)
    assert back.offsets_mm == pytest.approx(samples.offsets_mm, rel=1e-6)
