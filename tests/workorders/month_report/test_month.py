"""Months are read, counted and bounded."""

from datetime import date

import pytest

from workorders.month import Month


def test_a_month_is_read_as_it_is_written():
    assert Month.read("2026-02") == Month(2026, 2)
    assert Month(2026, 2).code == "2026-02"


@pytest.mark.parametrize(
    "text", ["", "2026", "2026-13", "2026-00", "2026-2", "26-02", "1949-12", "2200-01", "٢٠٢٦-٠٢"]
)
def test_what_is_no_month_of_a_record_is_refused(text: str):
    with pytest.raises(ValueError, match="a month"):
        Month.read(text)


def test_a_month_ends_before_the_next_begins():
    assert Month(2028, 2).last == date(2028, 2, 29)
    assert Month(2026, 12).ahead(1) == Month(2027, 1)
    assert Month(2026, 1).ahead(-13) == Month(2024, 12)
