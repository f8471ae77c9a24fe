"""What `manage.py trends` refuses: status 2, nothing on standard output, one line that helps."""

from functools import partial
from pathlib import Path

import pytest

from tests.diagnostics import command_runs

run = partial(command_runs.run, "trends")

GOOD = b"unit,time\nCV-1,5\nCV-2,7\n"


@pytest.fixture
def file(tmp_path: Path):
    def write(name: str, content: bytes) -> str:
        path = tmp_path / name
        path.write_bytes(content)
        return str(path)

    return write


def refusal(*arguments: str) -> str:
    """The one line, the same in both forms."""
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert err.endswith("\n")
    assert err.count("\n") == 1
    assert run(*arguments, "--json") == (2, "", err)
    return err


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "row 1: unit: the first row must name the columns unit and time"),
        (b"CV-1,5\n", "row 1: unit:"),
        (b"unit;time\nCV-1;5\n", 'separated by commas; it names unit not: "unit;time"'),
        (b"unit\tend\nCV-1\t5\n", "row 1: unit:"),
        (b"unit,time,Time\nCV-1,5,6\n", "row 1: time: the first row must name"),
        (b"unit,hours\nCV-1,5\n", "it names time not"),
        (b"unit,time\nCV-1,nan\n", 'row 2: time: it is "nan", not a number'),
        (b"unit,time\nCV-1,5\nCV-1,inf\n", 'row 3: time: it is "inf", not a number'),
        (b"unit,time\nCV-1,1e999\n", "row 2: time: it is"),
        (b"unit,time\nCV-1,1e16\n", "must not be above 1e+15"),
        (b"unit,time\nCV-1,0\n", 'row 2: time: it is "0", and must be above 0'),
        (b"unit,time\nCV-1,-3\n", "must be above 0"),
        (b"unit,time\nCV-1,1e-400\n", "must be above 0"),
        (b"unit,time\nCV-1,0x10\n", "not a number"),
        (b"unit,time\nCV-1,1_000\n", "not a number"),
        ("unit,time\nCV-1,٣\n".encode(), "not a number"),
        (b"unit,time\nCV-1,=1+1\n", "not a number"),
        (b"unit,time\nCV-1,1,5\n", "row 2: time: there are 3 fields"),
        (b'unit,time\nCV-1,"1,5"\n', 'row 2: time: it is "1,5", not a number'),
        (b"unit,time\nCV-1,\n", "row 2: time: it is missing"),
        (b"unit,time\nCV-1\n", "row 2: time: it is missing"),
        (b"unit,time\n ,5\n", "row 2: unit: it is missing"),
        (b"unit,time\n\r\n\r\nCV-1,5\nCV-2,x\n", "row 5: time:"),
        (b'unit,time\n"CV\n1",5\nCV-2,x\n', "row 2: unit:"),
        (b"unit,time\nCV-1\x1b[2J,5\n", "row 2: unit:"),
        (b"unit,time\n" + b"C" * 300 + b",5\n", "row 2: unit:"),
        (b'unit,time\nCV-1,5\n"CV-2,7\n', "row 3: text:"),
        (b'unit,time\nCV-1,"5"x\n', "row 2: text:"),
        (b"unit,time\nCV-1,5\nCV-\xff,6\n", "row 3: text: the file is not UTF-8"),
        ("unit,time\nCV-1,5\n".encode("utf-16"), "row 1: text:"),
        (b"unit,time\nCV-1,\0\n", "row 2: time:"),
        (b"unit,time\nCV-1," + b"9" * 200_000 + b"\n", "row 2: text:"),
        (b"PK\x03\x04\x14\x00\x06\x00", "row 1:"),
    ],
)
def test_a_bad_row_is_named_with_its_field(file, content, said):
    err = refusal(file("bad.csv", content), "--until", "10")

    assert "bad.csv: row " in err
    assert said in err
    assert err.isprintable() or err[:-1].isprintable()
    assert len(err) < 400


def test_an_event_after_the_end_is_named_by_its_row(file):
    err = refusal(file("events.csv", GOOD), "--until", "6")

    assert 'events.csv: row 3: time: 7 is after the end of "CV-2", 6.' in err


def test_an_event_after_its_own_unit_s_end_is_refused(file):
    events, ends = file("events.csv", GOOD), file("ends.csv", b"unit,end\nCV-1,5\nCV-2,6.5\n")

    assert "events.csv: row 3: time: 7 is after the end" in refusal(events, "--ends", ends)


def test_a_unit_that_the_ends_do_not_know_is_refused(file):
    events, ends = file("events.csv", GOOD), file("ends.csv", b"unit,end\nCV-1,50\n")

    assert 'events.csv: row 3: unit: "CV-2" has no end.' in refusal(events, "--ends", ends)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"unit,end\nCV-1,50\nCV-2,8\nCV-1,50\n", 'row 4: unit: "CV-1" has an end already'),
        (b"unit,end\n", "row 2: unit: the file names no unit"),
        (b"unit,time\nCV-1,50\n", "it names end not"),
        (b"unit,end\nCV-1,none\n", "row 2: end:"),
    ],
)
def test_bad_ends_are_named_by_their_own_file(file, content, said):
    err = refusal(file("events.csv", GOOD), "--ends", file("ends.csv", content))

    assert "ends.csv: " in err
    assert said in err


def test_several_units_cannot_end_with_the_last_event(file):
    err = refusal(file("events.csv", GOOD), "--failure-truncated")

    assert 'events.csv: row 3: unit: "CV-2" is a second unit' in err


def test_nothing_cannot_end_with_the_last_event(file):
    assert "row 2: time:" in refusal(file("none.csv", b"unit,time\n"), "--failure-truncated")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ([], "--until, --ends, --failure-truncated: give exactly one"),
        (["--until", "9", "--failure-truncated"], "give exactly one"),
        (["--until", "nan"], "--until: it is"),
        (["--until", ""], "--until: it is missing"),
        (["--until", "0"], "--until: it is"),
        (["--until", "9", "--level", "1"], "--level: it is 1"),
        (["--until", "9", "--level", "0"], "--level: it is"),
        (["--until", "9", "--level", "90%"], "--level: it is"),
        (["--until", "9", "--factor", "-1"], "--factor: it is"),
        (["--until", "9", "--factor", "inf"], "--factor: it is"),
        (["--until", "9", "--se", "greenwood"], '--se: "greenwood" is not robust or poisson'),
        (["--ends", "no such file.csv"], "no such file.csv: No such file"),
    ],
)
def test_a_bad_option_is_named(file, asked, said):
    assert said in refusal(file("events.csv", GOOD), *asked)


def test_a_missing_file_is_named():
    assert "nowhere.csv: No such file" in refusal("nowhere.csv", "--until", "9")


def test_standard_input_is_not_two_files():
    assert "--ends: standard input" in refusal("-", "--ends", "-")
