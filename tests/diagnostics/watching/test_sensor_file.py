"""Sensor files: what loggers write is read, what cannot be right is refused by row and column."""

import numpy as np
import pytest

from diagnostics.inference.watching.samples import MOST_KEPT, Samples, thinned
from diagnostics.inference.watching.sensor_file import (
    MOST_BYTES,
    SensorFileError,
    read_sensor_file,
)


def read(text: str) -> Samples:
    return read_sensor_file(text.encode())


def refused(content: str | bytes) -> str:
    with pytest.raises(SensorFileError) as refusal:
        read_sensor_file(content.encode() if isinstance(content, str) else content)
    return str(refusal.value)


@pytest.mark.parametrize(
    "text",
    [
        "time,offset\n0,10\n0.5,-12.5\n1,3\n",
        "Time [s];Offset (mm)\n0;10\n0,5;-12,5\n1;3\n",
        "OFFSET_MM\tTIME_S\n10\t0\n-12.5\t0.5\n3\t1\n",
        "offset cm,t\n1,0\n-1.25,0.5\n0.3,1\n",
        "time (ms),deviation [m]\n0,0.010\n500,-0.0125\n1000,0.003\n",
        "\ufefftime,offset\r\n0,10\r\n0.5,-12.5\r1,3",
        "time,offset\n\n0,10,\n0.5,-12.5\n1,3,,\n\n",
        '"time","offset"\n"0","10"\n"0.5","-12.5"\n"1","3"\n',
        "time,temperature,offset\n100,21,10\n100.5,,-12.5\n101,n/a,3\n",
        "time,offset\n0,10\n0.5,\N{MINUS SIGN}12.5\n1,3\n",
        "timestamp;offset\n2026-11-02T14:30:00Z;10\n2026-11-02T14:30:00,500Z;-12,5\n"
        "2026-11-02T14:30:01Z;3\n",
        "timestamp,offset\n2026-11-02 14:30:00,10\n2026-11-02 14:30:00.5,-12.5\n"
        "2026-11-02 14:30:01,3\n",
    ],
)
def test_every_way_a_logger_writes_is_read_the_same(text):
    samples = read(text)

    assert samples.times_s == pytest.approx([0, 0.5, 1])
    assert samples.offsets_mm == pytest.approx([10, -12.5, 3])
    assert samples.splice_passes_s == ()


def test_inches_are_turned_into_millimetres():
    assert read("time,offset [in]\n0,1\n1,-2\n").offsets_mm == pytest.approx([25.4, -50.8])


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1", "utf-8-sig"])
def test_other_encodings_are_read(encoding):
    content = "time,offset,Bemerkung für\n0,1,ä\n1,2,ö\n".encode(encoding)

    assert read_sensor_file(content).offsets_mm == pytest.approx([1, 2])


def test_marks_of_the_splice_become_passes_once_each():
    rows = [f"{n / 10:.1f},0,{'1' if n in (20, 21, 120) else '0'}" for n in range(200)]

    samples = read("\n".join(["time,offset,splice", *rows]))

    assert samples.splice_passes_s == (2.0, 12.0)


def test_any_word_marks_the_splice_and_nothing_does_not():
    samples = read("time;offset;splice\n0;1;\n5;1;x\n10;1;0\n15;1;S1\n")

    assert samples.splice_passes_s == (5.0, 15.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ["empty"]),
        ("time,offset\n", ["0 samples", "two"]),
        ("time,offset\n0,1\n", ["1 sample;", "two"]),
        ("time,offset\n0,1\n1,x\n2,3\n", ["row 3, column offset", "'x'", "12.5"]),
        ("time,offset\n0,1\n\n1,nan\n", ["row 4, column offset", "no number"]),
        ("time,offset\n0,1\n1,inf\n", ["row 3, column offset", "no number"]),
        ("time,offset\n0,1\n1,\n", ["row 3, column offset", "''"]),
        ("time,offset\n0,1\n2,2\n1,3\n", ["row 4, column time", "backwards", "from 2 s to 1 s"]),
        ("time,offset\n5,1\n5,2\n", ["same time"]),
        ("time,offset\n0,1\n0,1\n0,2\n0.00001,2\n", ["within 1e-05 s", "unit of the time"]),
        ("time,width\n0,1\n1,2\n", ["row 1", "called offset", "time, width"]),
        ("speed,offset\n0,1\n1,2\n", ["row 1", "called time"]),
        ("time,offset,deviation\n0,1,1\n1,2,2\n", ["row 1", "several columns", "Leave one"]),
        ("time,offset [ft]\n0,1\n1,2\n", ["row 1, column offset [ft]", "'ft'", "mm"]),
        ("time,offset\n0,1,5\n1,2,5\n", ["row 2", "3 cells", "semicolons"]),
        ("time,offset\n0,1\n1,30000\n", ["row 3, column offset", "20000 mm"]),
        ("time,offset\n0,1\n2000000,3\n", ["row 3, column time", "864000 s"]),
        ("time,offset\n2026-11-02T14:30,1\nlater,2\n", ["row 3, column time", "no date and time"]),
        ("0,1\n1,2\n", ["row 1", "called time", "Accepted"]),
    ],
)
def test_what_cannot_be_right_is_refused_with_row_column_and_accepted_form(text, words):
    said = refused(text)

    for word in words:
        assert word in said


@pytest.mark.parametrize("content", [b"\x89PNG\r\n\x1a\n\0\0\0", b"PK\x03\x04 sheet", b"\0" * 50])
def test_what_is_no_text_is_refused(content):
    assert "no text file" in refused(content)


def test_a_huge_file_is_refused_before_it_is_read():
    said = refused(b"time,offset\n" + b"0,1\n" * (MOST_BYTES // 4))

    assert "50 MB" in said
    assert "Sample more" in said


def test_many_samples_are_thinned_to_a_tenth_of_a_second():
    times = np.arange(30_000) / 50
    samples = Samples(times, np.sin(times / 7), (12.0,))

    few = thinned(samples)

    assert len(few.times_s) == 6_000
    assert few.splice_passes_s == (12.0,)
    assert few.offsets_mm == pytest.approx(np.sin(few.times_s / 7), abs=0.01)


def test_a_day_of_samples_is_kept_small():
    times = np.arange(0, 86_400, 0.2)

    assert len(thinned(Samples(times, times * 0)).times_s) <= MOST_KEPT


def test_few_samples_stay_as_they_are():
    samples = Samples(np.array([0.0, 0.7, 5.0]), np.array([1.0, 2.0, 3.0]))

    assert thinned(samples) is samples


def test_a_long_file_is_read_in_parts_without_a_seam():
    count = 250_000
    rows = [f"{n / 100:.2f},{n % 7},{'1' if n == 123_456 else ''}" for n in range(count)]

    samples = read("\n".join(["time,offset,splice", *rows]))

    assert len(samples.times_s) == count
    assert samples.offsets_mm[:8].tolist() == [0, 1, 2, 3, 4, 5, 6, 0]
    assert samples.splice_passes_s == (1234.56,)


def test_time_that_runs_backwards_between_two_parts_is_found():
    rows = [f"{n % 100_000},1" for n in range(100_002)]

    assert "row 100002, column time" in refused("\n".join(["time,offset", *rows]))


@pytest.mark.parametrize(
    "header",
    [
        "time,offset" + "(" * 80_000,
        "time,offset" + "," * 100_000,
        "time,offset" + " " * 100_000,
    ],
)
def test_row_of_names_of_no_logger_is_refused_at_once(header):
    refusal = refused(header + "\n0,1\n1,2\n")

    assert refusal.startswith("row 1: the row of names may have at most 40 columns and 2000")


def test_many_short_rows_below_a_wide_header_do_not_fill_the_memory():
    text = "time,offset" + "," * 1500 + "\n" + "0,1\n" * 1000

    assert refused(text).startswith("row 1: the row of names may have at most 40 columns")


def test_forty_columns_are_read():
    names = ",".join(["time", "offset", *(f"channel {number}" for number in range(38))])

    assert read(f"{names}\n0,1\n1,2\n").offsets_mm == pytest.approx([1, 2])
