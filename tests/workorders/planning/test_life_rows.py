"""Files of lives as people and spreadsheets write them, and each refusal with its row and field."""

import pytest

from workorders.planning.life_file import rows
from workorders.planning.life_file.rows import LifeFileError, read_lives
from workorders.planning.lives import Lives

SAME = Lives.of([(100, True, 1), (250.5, False, 2)])


@pytest.mark.parametrize(
    "text",
    [
        "age,failed,count\n100,1,1\n250.5,0,2\n",
        "age,failed\n100,1\n250.5,0\n250.5,0\n",
        "\ufeffage,failed,count\r\n100,1,1\r\n250.5,0,2\r\n",
        "age,failed,count\r100,1,1\r250.5,0,2",
        "\n\nage,failed,count\n\n100,1,1\n,,\n250.5,0,2\n\n",
        '"age","failed","count"\n"100","1","1"\n"250.5","0","2"\n',
        " Age , FAILED ,Count\n 100 ,1, 1\n+2.505e2,0,2\n",
        'tag,count,failed,note,age\nCV-1,1,1,,100\n=1+1,2,0,"two, of them\nin two lines",250.5\n',
        "failed,age,count\n1,1e2,\n0,250.5,2\n",
        "age,failed,count,\n100,1,1,\n250.5,0,2,,,\n",
    ],
    ids=[
        "plain",
        "no counts",
        "mark and CRLF",
        "CR alone",
        "blank lines",
        "quotes",
        "spaces and capitals",
        "other columns",
        "blank count",
        "commas at the end",
    ],
)
def test_ways_to_write_the_same_lives(text):
    assert read_lives(text.encode()).lives == SAME


def test_blank_counts_are_taken_as_one_and_said():
    assert read_lives(b"age,failed,count\n5,1,\n6,1,3\n7,0,\n").blank_counts == 2
    assert read_lives(b"age,failed\n5,1\n").blank_counts == 0


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("", "row 1: age: missing"),
        ("\n\n", "row 1: age: missing"),
        ("age,failed\n", "row 2: age: missing"),
        ("100,1\n200,0\n", "row 1: age: no such column"),
        ("age;failed\n100;1\n", "row 1: age: no such column"),
        ("age,count\n100,1\n", "row 1: failed: no such column"),
        ("age,failed,Age\n100,1,3\n", "row 1: age: two columns"),
        ("age,failed,count,count\n1,1,1,1\n", "row 1: count: two columns"),
        ("age,failed\n\n100,1\n0,1\n", "row 4: age: must be"),
        ("age,failed\n-5,1\n", "row 2: age: must be"),
        ("age,failed\nNaN,1\n", "row 2: age: must be"),
        ("age,failed\ninf,1\n", "row 2: age: must be"),
        ("age,failed\n1e999,1\n", "row 2: age: must be"),
        ("age,failed\n1_000,1\n", "row 2: age: must be"),
        ("age,failed\n٣,1\n", "row 2: age: must be"),
        ("age,failed\n0x10,1\n", "row 2: age: must be"),
        ('age,failed\n"12,5",1\n', "row 2: age: must be"),
        ("age,failed\n12,5,1\n", "row 2: '1': a value without a column"),
        ("age,failed\n" + "9" * 5000 + ",1\n", "row 2: age: must be"),
        ("age,failed\n,1\n", "row 2: age: must be a number above 0, with a decimal point; it is b"),
        ("age,failed\n100\n", "row 2: failed: must be"),
        ("age,failed\n100,yes\n", "row 2: failed: must be"),
        ("age,failed\n100,2\n", "row 2: failed: must be"),
        ("age,failed,count\n100,1,0\n", "row 2: count: must be"),
        ("age,failed,count\n100,1,-3\n", "row 2: count: must be"),
        ("age,failed,count\n100,1,1.5\n", "row 2: count: must be"),
        ("age,failed,count\n100,1,²\n", "row 2: count: must be"),
        ("age,failed,count\n100,1," + "9" * 5000 + "\n", "row 2: count: must be"),
        ("age,failed,count\n100,1,1000000000001\n", "row 2: count: must be"),
        ('age,failed\n100,1\n"200,0\n', "row 3: not CSV"),
        ('age,failed\n1,1\n"' + "x" * 200_000 + '",1\n', "row 3: not CSV"),
        ("age,failed\n100,1\x00\n", "row 2: failed: must be"),
    ],
)
def test_refusals_name_row_and_field_in_a_short_line(text, named):
    with pytest.raises(LifeFileError) as refused:
        read_lives(text.encode())

    assert str(refused.value).startswith(named)
    assert len(str(refused.value)) < 220


@pytest.mark.parametrize("content", [b"age,failed\n1,1\n\xff,1\n", "age,failed\n".encode("utf-16")])
def test_what_is_no_text_is_refused(content):
    with pytest.raises(LifeFileError, match=r"^row [13]: the file is not text"):
        read_lives(content)


def test_more_rows_than_are_taken_are_refused_with_the_way_out(monkeypatch):
    monkeypatch.setattr(rows, "MOST_ROWS", 2)

    with pytest.raises(LifeFileError, match=r"row 4: age: more than 2 rows; .* a count"):
        read_lives(b"age,failed\n1,1\n2,1\n3,1\n")
