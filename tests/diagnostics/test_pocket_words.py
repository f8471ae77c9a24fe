"""What the screens of the walk-down app say is there to be translated, and nothing beside it."""

import re
from pathlib import Path

import pytest

import diagnostics
from diagnostics.pocket_words import pocket_words

_FOLDER = Path(diagnostics.__file__).parent / "static/diagnostics/pocket"
_SCREENS = [*_FOLDER.glob("*.js"), *_FOLDER.glob("screens/*.js")]


@pytest.fixture(scope="module")
def scripts() -> str:
    return "\n".join(one.read_text() for one in _SCREENS)


def test_every_word_a_screen_asks_for_is_there(scripts: str):
    asked = set(re.findall(r'\bsay\(\s*"(\w+)"', scripts))

    assert len(asked) > 100
    assert asked - set(pocket_words()) == set()


def test_every_word_is_asked_for_by_a_screen(scripts: str):
    named = set(re.findall(r'"(\w+)"', scripts)) | set(re.findall(r"\b(\w+):", scripts))
    # Names put together from two parts: `cannot_open_${reason}`, `${side}_in_travel`.
    begun = tuple(re.findall(r"`(\w+_)\$\{", scripts))
    ended = tuple(re.findall(r"\}(_\w+)`", scripts))

    left = {
        name
        for name in pocket_words()
        if name not in named and not name.startswith(begun) and not name.endswith(ended)
    }

    assert left == set()


def test_a_figure_is_filled_in_by_a_name_the_screens_give(scripts: str):
    wanted = {
        name for text in pocket_words().values() for name in re.findall(r"%\((\w+)\)s", str(text))
    }

    assert {name for name in wanted if not re.search(rf"\b{name}\b\s*[:,}}]", scripts)} == set()
    # A bare per cent sign would be filled in by nobody.
    assert not [text for text in pocket_words().values() if "%%" in str(text)]
