"""Setting sheets: what is typed stays text, the same bytes each time, nothing read from outside."""

import logging
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import typst

from plant import typesetting
from tests import pdf_reader

AT = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
_SHEET = """
#let d = json(bytes(sys.inputs.data))
#set document(title: "t", date: auto)
#set text(font: "Libertinus Serif")
#text(d.said) #d.unprintable
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "sheets" / "sheet.typ"
    path.parent.mkdir()
    path.write_text(_SHEET)
    return path


def read(sheet: Path, said: str) -> str:
    return pdf_reader.words_of(typesetting.pdf_of(sheet, {"said": said}, AT))


@pytest.mark.parametrize(
    "typed",
    [
        '#panic("x")',
        "*b* _i_ `code`",
        "$x$ $ y $",
        "\"quoted\" 'so' -- --- ...",
        "= heading",
        "@ref <label> // /* https://dock.example",
        r"\u{41} \ [a] {b}",
        '#read("/etc/passwd") #import "@preview/x:1.0.0"',
        "<script>alert(1)</script> &amp;",
    ],
)
def test_what_was_typed_stands_as_typed(sheet: Path, typed: str):
    assert read(sheet, typed) == typed


def test_letters_of_other_tongues_are_there(sheet: Path):
    assert read(sheet, "é ß Ω Ж") == "é ß Ω Ж"


def test_signs_the_fonts_lack_are_named(sheet: Path):
    words = read(sheet, "belt \N{GRINNING FACE} on")

    assert "Signs that this sheet can only print as boxes: grinning face." in words
    assert "belt" in words


def test_many_signs_the_fonts_lack_are_not_all_named(sheet: Path):
    words = read(sheet, "".join(chr(0x4E00 + number) for number in range(200)))

    assert words.endswith("; ….")


def test_signs_no_paper_shows_are_left_out(sheet: Path):
    assert read(sheet, "a\x07b\x1b[31m\x7f") == "ab[31m"


def test_same_values_give_the_same_bytes(sheet: Path):
    first = typesetting.pdf_of(sheet, {"said": "x"}, AT)

    assert typesetting.pdf_of(sheet, {"said": "x"}, AT) == first
    assert typesetting.pdf_of(sheet, {"said": "x"}, AT + timedelta(days=1)) != first


def test_link_in_the_folder_is_refused(sheet: Path, tmp_path: Path):
    outside = tmp_path / "secret.txt"
    outside.write_text("secret")
    (sheet.parent / "leak.txt").symlink_to(outside)
    sheet.write_text('#read("leak.txt")')

    with pytest.raises(typesetting.TypesettingFailed, match=r"leak\.txt is a link"):
        typesetting.pdf_of(sheet, {"said": ""}, AT)


@pytest.mark.parametrize("path", ["../secret.txt", "/secret.txt"])
def test_nothing_outside_the_folder_is_read(sheet: Path, tmp_path: Path, path: str):
    (tmp_path / "secret.txt").write_text("secret")
    sheet.write_text(f'#read("{path}")')

    with pytest.raises(typesetting.TypesettingFailed):
        typesetting.pdf_of(sheet, {"said": ""}, AT)


def test_broken_template_is_a_failure_with_its_place(sheet: Path):
    sheet.write_text("#nobody-knows-this")

    with pytest.raises(typesetting.TypesettingFailed, match="unknown variable"):
        typesetting.pdf_of(sheet, {"said": ""}, AT)


def test_sheet_that_readers_cannot_be_led_through_is_set_all_the_same(
    sheet: Path, caplog: pytest.LogCaptureFixture
):
    sheet.write_text('#set document(title: "t")\n#heading[]\nwords')

    with caplog.at_level(logging.WARNING, logger="plant.typesetting"):
        words = read(sheet, "")

    assert words == "words"
    assert "without marks for readers" in caplog.text


def test_panic_of_the_typesetter_ends_no_process(sheet: Path, monkeypatch: pytest.MonkeyPatch):
    class PanicException(BaseException):
        pass

    def panic(*_given: object, **_named: object) -> bytes:
        raise PanicException("index out of bounds")

    monkeypatch.setattr(typst, "compile", panic)

    with pytest.raises(typesetting.TypesettingFailed, match="out of bounds"):
        typesetting.pdf_of(sheet, {"said": ""}, AT)


def test_ending_the_process_is_not_held_up(sheet: Path, monkeypatch: pytest.MonkeyPatch):
    def interrupted(*_given: object, **_named: object) -> bytes:
        raise KeyboardInterrupt

    monkeypatch.setattr(typst, "compile", interrupted)

    with pytest.raises(KeyboardInterrupt):
        typesetting.pdf_of(sheet, {"said": ""}, AT)
