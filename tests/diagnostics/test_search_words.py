"""Typed words as what is looked for, and the file of synonyms."""

import shutil
from pathlib import Path

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import settings as settings_of
from hypothesis import strategies as st

from diagnostics import synonym_files
from diagnostics.inference.search_words import MOST_PARTS, Asked, Synonyms, asked_of
from diagnostics.knowledge_schema import KnowledgeError

SYNONYMS = Synonyms((("build up", "caked"), ("take up", "tensioner"), ("wanders", "runs off")))
FIXTURES = Path(settings.BASE_DIR) / "fixtures"


def typed_parts(typed: str) -> list[str]:
    return [part.typed for part in asked_of(typed, SYNONYMS)]


def test_a_phrase_of_the_trade_is_one_part_with_its_synonyms() -> None:
    assert asked_of("build-up on pulley", SYNONYMS) == (
        Asked("build up", ("build up", "caked")),
        Asked("pulley", ("pulley",), is_beginning=True),
    )


@pytest.mark.parametrize("typed", ["wandering", "Wandered", "runs off", "running off"])
def test_endings_do_not_hide_a_synonym(typed: str) -> None:
    (part,) = asked_of(typed, SYNONYMS)

    assert {"wanders", "runs off"} <= {*part.ways}
    assert part.ways[0] == part.typed


def test_words_that_say_nothing_are_left_out_but_not_from_phrases() -> None:
    assert typed_parts("it is the take up of the belt") == ["take up", "belt"]


@pytest.mark.parametrize("typed", ["", "  ", "the of and", "?!", "\t_"])
def test_without_a_word_to_go_by_there_are_no_parts(typed: str) -> None:
    assert asked_of(typed, SYNONYMS) == ()


def test_only_the_last_word_may_be_the_beginning_of_one() -> None:
    assert [part.is_beginning for part in asked_of("worn lagg", SYNONYMS)] == [False, True]
    assert [part.is_beginning for part in asked_of("worn la", SYNONYMS)] == [False, False]


def test_a_word_said_twice_is_looked_for_once() -> None:
    assert typed_parts("rubs and rubs and rubbing") == ["rubs"]


@settings_of(max_examples=60)
@given(st.text(max_size=400))
def test_anything_typed_gives_a_bounded_number_of_plain_parts(typed: str) -> None:
    parts = asked_of(typed, SYNONYMS)

    assert len(parts) <= MOST_PARTS
    assert all(word.isalnum() for part in parts for way in part.ways for word in way.split())


def test_the_installed_synonyms_know_how_people_say_mistracking() -> None:
    (part,) = asked_of("mistracks", synonym_files.current())

    assert {"wanders", "runs off", "walks off", "trains off"} <= set(part.ways)


def refusal(folder: Path, text: str) -> str:
    (folder / "synonyms.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(KnowledgeError) as caught:
        synonym_files.load(folder)
    return str(caught.value)


HEAD = 'version: 1\ndate: "2026-11-28"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (HEAD + "groups:\n- [a belt, b belt]\n- [c belt, A belts]\n", "group 2"),
        (HEAD + "groups:\n- [alone]\n", "group 1"),
        (HEAD + "groups:\n- ['x & y', z]\n", "group 1"),
        (HEAD + "groups: []\n", "groups"),
        ("groups:\n- [x, y]\n", "version"),
        (HEAD + "groups:\n- [x, !!python/name:os.system y]\n", "no YAML"),
        (HEAD + "groups:\n- [x, 7]\n", "group 1"),
    ],
)
def test_a_faulty_file_of_synonyms_is_refused_with_its_place(
    tmp_path: Path, text: str, said: str
) -> None:
    assert said in refusal(tmp_path, text)


def test_a_missing_file_of_synonyms_is_named(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="cannot be read"):
        synonym_files.load(tmp_path)


def test_the_installed_file_stands_by_itself(tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "synonyms.yaml", tmp_path)

    assert synonym_files.load(tmp_path) == synonym_files.current()
