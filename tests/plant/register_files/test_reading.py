"""Tables as people keep them: encodings, separators, marks, units, days."""

from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.register_files.cells import neutral, tidy, told_back
from plant.register_files.figures import figure_of, marks_of
from plant.register_files.moments import day_of, moment_of, written_moment
from plant.register_files.reading import read_file
from plant.register_files.refusals import CellRefused
from plant.register_files.units import converted

_LISBON = ZoneInfo("Europe/Lisbon")
_TABLE = "Tag;Name;Belt speed;Centre distance\r\nCV-1;Förderband Süd;2,5;1 100\r\n"


def _one(content: bytes) -> dict[str, Any]:
    (sheet,) = read_file(content, _LISBON).sheets
    (row,) = sheet.rows
    assert row.reasons == []
    return row.values


@pytest.mark.parametrize(
    "content",
    [
        _TABLE.encode(),
        _TABLE.encode("utf-8-sig"),
        _TABLE.encode("utf-16"),
        _TABLE.encode("utf-16-be"),
        b"\xfe\xff" + _TABLE.encode("utf-16-be"),
        _TABLE.encode("latin-1"),
        _TABLE.replace("\r\n", "\n").encode(),
        _TABLE.replace("\r\n", "\r").encode(),
        _TABLE.replace("\r\n", "\n", 1).encode(),
        _TABLE.replace(";", "\t").encode(),
        _TABLE.replace(",", ".").replace(";", ",").encode(),
        ("sep=;\r\n" + _TABLE).encode(),
        ("Our belts; 2026;;\r\n;;;\r\n\r\n" + _TABLE + ";;;\r\n\r\n").encode(),
        _TABLE.replace("Tag;Name", "NAME ;  tag")
        .replace("CV-1;Förderband Süd", "Förderband Süd;CV-1")
        .encode(),
    ],
)
def test_one_table_however_it_was_saved(content: bytes):
    assert _one(content) == {
        "tag": "CV-1",
        "name": "Förderband Süd",
        "speed_mps": 2.5,
        "centre_distance_m": 1100.0,
    }


# International foot and pound: NIST SP 811, appendix B.8 (1 ft = 0.3048 m, 1 lbf = 4.448222 N,
# 1 lbf/in = 175.1268 N/m, 1 short ton = 907.1847 kg); Fahrenheit by 9/5 and 32.
@pytest.mark.parametrize(
    ("value", "unit", "wanted", "expected"),
    [
        (500, "ft/min", "m/s", 2.54),
        (500, "FPM", "m/s", 2.54),
        (150, "m/min", "m/s", 2.5),
        (42, '"', "mm", 1066.8),
        (42, "in", "mm", 1066.8),
        (1, "km", "m", 1000),
        (1, "ft", "m", 0.3048),
        (1000, "PIW", "N/mm", 175.1268),
        (10_000, "lbf", "kN", 44.48222),
        (1000, "stph", "t/h", 907.1847),
        (212, "°F", "°C", 100),
        (1, "lb/ft²", "kg/m²", 4.882428),
        (0.5, "rad", "°", 28.64789),
    ],
)
def test_units_of_the_trade(value: float, unit: str, wanted: str, expected: float):
    assert converted(value, unit, wanted) == pytest.approx(expected, rel=3e-7)


@pytest.mark.parametrize(
    "unit", ["kg", "m/s2", "banana", "m**9**9", "9", "", "m" * 99, "__import__"]
)
def test_what_is_no_unit_of_a_length_is_refused(unit: str):
    with pytest.raises(CellRefused, match="wrong_unit"):
        converted(1, unit, "m")


@pytest.mark.parametrize(
    ("others", "cell", "value"),
    [
        ((), "1.5", 1.5),
        ((), "1,5", 1.5),
        ((), "1,234.5", 1234.5),
        ((), "1.234,5", 1234.5),
        ((), "1'234.5", 1234.5),
        ((), "1 234,5", 1234.5),
        ((), "1.234.567", 1234567),
        ((), "0,125", 0.125),
        ((), "−3.5", -3.5),
        ((), "1.234", 1.234),
        (("7,5",), "1,234", 1.234),
        (("2,000.5",), "1,234", 1234),
        (("2.000,5",), "1.234", 1234),
        ((), "2.5e3", 2500),
    ],
)
def test_decimal_marks_are_told_by_the_sheet(others: tuple[str, ...], cell: str, value: float):
    assert figure_of(cell, marks_of([*others, cell])).value == value


@pytest.mark.parametrize(
    ("others", "cell"),
    [((), "1,234"), (("7,5",), "1.234"), (("7,5", "7.5"), "1,234")],
)
def test_figures_that_are_two_are_not_guessed(others: tuple[str, ...], cell: str):
    with pytest.raises(CellRefused, match="two_ways"):
        figure_of(cell, marks_of([*others, cell]))


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2026-03-05", date(2026, 3, 5)),
        ("5.3.2026", date(2026, 3, 5)),
        ("05. 03. 2026", date(2026, 3, 5)),
        ("25/3/2026", date(2026, 3, 25)),
        ("3/25/2026", date(2026, 3, 25)),
        ("4/4/2026", date(2026, 4, 4)),
        ("2026-03-05 00:00:00", date(2026, 3, 5)),
    ],
)
def test_days_as_people_write_them(cell: str, day: date):
    assert day_of(cell) == day


@pytest.mark.parametrize("cell", ["2026-02-30", "tomorrow", "31.4.2026", "5.3.26"])
def test_what_is_no_day_is_refused(cell: str):
    with pytest.raises(CellRefused, match="not_a_date"):
        day_of(cell)


def test_clock_times_are_the_plants():
    assert moment_of("2026-07-05 14:30", _LISBON) == datetime(2026, 7, 5, 13, 30, tzinfo=UTC)
    assert moment_of("2026-07-05T14:30:10Z", _LISBON).astimezone(UTC).hour == 14
    assert moment_of("5.7.2026", _LISBON) == datetime(2026, 7, 5, 11, tzinfo=UTC)


@given(st.integers(0, 4 * 365 * 86_400))
def test_an_instant_survives_every_change_of_the_clocks(seconds: int):
    instant = datetime.fromtimestamp(1_700_000_000 + seconds, UTC)

    assert moment_of(written_moment(instant, _LISBON), _LISBON) == instant


@given(st.text() | st.text("'=+-@ab\t", max_size=6))
def test_every_text_is_told_back_and_none_begins_a_formula(text: str):
    kept = tidy(text)
    written = neutral(kept)

    assert not written.startswith(("=", "+", "-", "@", "\t"))
    assert told_back(written) == kept
