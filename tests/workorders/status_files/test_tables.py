"""Rows of status files: whatever comes, a row, a reason for it, or a reason for the file."""

import json
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workorders.order_states import OrderState
from workorders.status_files import saying
from workorders.status_files.refusals import FileRefused, RowRefused
from workorders.status_files.saying import said_by
from workorders.status_files.tables import rows_of

HALIFAX = ZoneInfo("America/Halifax")


def file_refusal(content: bytes, name: str = "a.csv") -> str:
    with pytest.raises(FileRefused) as refused:
        rows_of(content, name)
    return refused.value.reason.code


def row_refusal(content: bytes, name: str = "a.csv") -> str:
    [row] = rows_of(content, name)
    assert row.refused is not None
    return row.refused.reason.code


@pytest.mark.parametrize(
    "content",
    [
        b"number,note\nLT-W-0001,\xc3\xa4\n",
        b"\xef\xbb\xbfnumber,note\r\nLT-W-0001,\xc3\xa4\r\n",
        b"number;note\nLT-W-0001;\xc3\xa4",
        b'number,note\n\n"LT-W-0001","\xc3\xa4"\n,\n',
    ],
)
def test_the_usual_tables_are_read(content: bytes) -> None:
    [row] = rows_of(content, "status.CSV")

    assert row.cells == {"number": "LT-W-0001", "note": "ä"}


def test_rows_have_the_numbers_a_person_sees() -> None:
    rows = rows_of(b"number,note\nA,1\n,\nB,2\n", "a.csv")

    assert [row.number for row in rows] == [2, 4]


def test_json_lines_take_text_and_numbers() -> None:
    content = b'{"number": "LT-W-0001", "hours": 1.10, "version": 3, "note": null}\n\n{"a": "b"}'

    first, second = rows_of(content, "a.jsonl")

    assert first.cells == {"number": "LT-W-0001", "hours": "1.10", "version": "3"}
    assert second.number == 3


@pytest.mark.parametrize(
    ("content", "name", "code"),
    [
        (b"", "a.csv", "no_rows"),
        (b"number\n", "a.csv", "no_rows"),
        (b"x", "a.xlsx", "unknown_ending"),
        (b"x", "csv", "no_rows"),
        (b"number\n\xff\n", "a.csv", "not_utf8"),
        ("number\nLT-W-0001".encode("utf-16"), "a.csv", "not_utf8"),
        (b'number\n"LT\n', "a.csv", "broken_record"),
        (b'number\n"LT"x\n', "a.csv", "broken_record"),
        (b"number,Number\nA,B\n", "a.csv", "column_twice"),
        (b",".join([b"x"] * 61) + b"\n", "a.csv", "too_many_columns"),
        (b"number\n" + b"x" * 200_000, "a.csv", "broken_record"),
        (b"number\n" + b"x\n" * 20_001, "a.csv", "too_many_rows"),
        (b"x" * 10_000_001, "a.csv", "file_too_large"),
    ],
)
def test_files_that_cannot_be_read_are_refused_whole(content: bytes, name: str, code: str) -> None:
    assert file_refusal(content, name) == code


@pytest.mark.parametrize(
    ("content", "name", "code"),
    [
        (b"number\nLT,2\n", "a.csv", "more_cells_than_columns"),
        (b"number\nL\x00T\n", "a.csv", "unseen_letter"),
        (b"number\n" + b"x" * 4001, "a.csv", "cell_too_long"),
        (b"{", "a.jsonl", "no_json"),
        (b"[1]", "a.jsonl", "no_object"),
        (b'{"a": NaN}', "a.jsonl", "no_json"),
        (b'{"a": [1]}', "a.jsonl", "not_plain"),
        (b'{"a": true}', "a.jsonl", "not_plain"),
        (b'{"a": 1, "a": 2}', "a.jsonl", "field_twice"),
        (b'{"a": "\\u0000"}', "a.jsonl", "unseen_letter"),
        (b'{"a": ' + b"9" * 5000 + b"}", "a.jsonl", "no_json"),
        (b'{"a": 1e999999999}', "a.jsonl", None),
        (b"[" * 100_000, "a.jsonl", "no_json"),
    ],
)
def test_a_row_that_cannot_be_read_leaves_the_others(
    content: bytes, name: str, code: str | None
) -> None:
    [row] = rows_of(content, name)

    assert (row.refused.reason.code if row.refused else None) == code


def test_the_apostrophe_before_a_formula_is_taken_off_again() -> None:
    [row] = rows_of(b"number,note,why\n1,'=1+1,'tis\n", "a.csv")

    assert (row.cells["note"], row.cells["why"]) == ("=1+1", "'tis")


@given(st.binary(max_size=300), st.sampled_from(["a.csv", "a.jsonl"]))
def test_whatever_the_bytes_are_they_are_rows_or_refused(content: bytes, name: str) -> None:
    try:
        rows = rows_of(content, name)
    except FileRefused:
        return
    for row in rows:
        assert (row.refused is None) or not row.cells
        try:
            said_by(row.cells, HALIFAX)
        except RowRefused:
            continue


_TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40)


@given(st.dictionaries(st.sampled_from(sorted(saying.COLUMNS)), _TEXT, min_size=1))
def test_a_line_of_json_is_read_as_it_was_written(cells: dict[str, str]) -> None:
    line = json.dumps(cells, ensure_ascii=False).replace("\u2028", " ").encode()
    [row] = rows_of(line, "a.jsonl") if any(text.strip() for text in cells.values()) else [None]

    if row is not None and row.refused is None:
        kept = {name: text.strip() for name, text in cells.items() if text.strip()}
        assert row.cells.keys() == kept.keys()


def test_a_row_says_what_it_says() -> None:
    said = said_by(
        {
            "number": "lt-w-0001",
            "state": "In hand",
            "hours": "3,5",
            "day": "2026-11-02",
            "planned_for": "2026-11-03T07:00",
            "version": "4",
        },
        HALIFAX,
    )

    assert (said.number, said.state, said.hours) == (
        "LT-W-0001",
        OrderState.IN_HAND,
        Decimal("3.50"),
    )
    assert (said.day, said.version) == (date(2026, 11, 2), 4)
    # By the plant's clock, four hours behind UTC in November.
    assert said.planned_for == datetime(2026, 11, 3, 11, tzinfo=UTC)


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"state": "done"}, "number"),
        ({"number": "LT-W-0001"}, ""),
        ({"number": "LT-W-0001", "state": "finished"}, "state"),
        ({"number": "LT-W-0001", "hours": "NaN"}, "hours"),
        ({"number": "LT-W-0001", "hours": "-1"}, "hours"),
        ({"number": "LT-W-0001", "hours": "25"}, "hours"),
        ({"number": "LT-W-0001", "hours": "0.001"}, "hours"),
        ({"number": "LT-W-0001", "hours": "1e99999999"}, "hours"),
        ({"number": "LT-W-0001", "hours": "1", "day": "2.11.2026"}, "day"),
        ({"number": "LT-W-0001", "hours": "1", "day": "2026-13-01"}, "day"),
        ({"number": "LT-W-0001", "state": "scheduled", "planned_for": "soon"}, "planned_for"),
        (
            {"number": "LT-W-0001", "state": "scheduled", "planned_for": "9999-12-31T23:59-12"},
            "planned_for",
        ),
        ({"number": "LT-W-0001", "note": "x", "version": "-1"}, "version"),
        ({"number": "LT-W-0001", "note": "x" * 2001}, "note"),
    ],
)
def test_what_a_row_cannot_say_names_its_column(cells: dict[str, str], column: str) -> None:
    with pytest.raises(RowRefused) as refused:
        said_by(cells, HALIFAX)
    assert refused.value.reason.column == column


def test_a_misspelt_column_is_named_with_the_nearest() -> None:
    with pytest.raises(FileRefused) as refused:
        saying.check_columns({"number", "sate"})
    assert refused.value.reason.values["nearest"] == "state"
