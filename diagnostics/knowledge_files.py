"""Reads the knowledge files of fixtures/: causes, rules, cautions and work methods.

Needs no database, so that `diagnose` runs anywhere. Whatever is wrong with a file is a
KnowledgeError that names file, entry and field; nothing of a faulty set is used.
"""

import hashlib
from collections.abc import Hashable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings

from diagnostics.inference.causes import Knowledge
from diagnostics.inference.work_methods import WorkMethod
from diagnostics.knowledge_entries import Library, checked_library
from diagnostics.knowledge_schema import SHAPES, KnowledgeError

# Far above what a catalogue of a few hundred causes needs; engineering judgement.
LARGEST_FILE_BYTES = 4_000_000
DEEPEST_NESTING = 12
# No whole number of the files is larger; one of thousands of digits cannot be written out again.
_LARGEST_WHOLE = 2**63


def current() -> Knowledge:
    """Catalogue and rules as the files of this installation state them."""
    return library().knowledge


def work_methods() -> Mapping[str, WorkMethod]:
    """Work methods of this installation by slug."""
    return library().work_methods


def library() -> Library:
    """Everything the files of this installation state."""
    return _installed()[1]


def documents() -> Mapping[str, Any]:
    """The contents of the files of this installation by name; not to be changed."""
    return _installed()[0]


def forget() -> None:
    """Read the files anew at the next question."""
    _installed.cache_clear()


@cache
def _installed() -> tuple[Mapping[str, Any], Library]:
    return _read(Path(settings.BASE_DIR) / "fixtures")


def load(folder: Path) -> Library:
    """Read, check and build the library of a folder.

    Raises
    ------
    KnowledgeError
        A file is missing, too large, no YAML, of another shape, or names what is not there.
    """
    return _read(folder)[1]


def _read(folder: Path) -> tuple[Mapping[str, Any], Library]:
    contents = {file: _content_of(folder, file) for file in SHAPES}
    found = {file: _document_of(file, text) for file, text in contents.items()}
    library = checked_library(found, "")
    version = _version_of(found, contents)
    return found, replace(library, knowledge=replace(library.knowledge, version=version))


def read_text(name: str, text: str) -> Any:
    """What a text in the language of the files says, read as strictly as they are.

    Raises
    ------
    KnowledgeError
        It is no YAML of the safe kind, nested too deep, repeats a key, or holds a value that is
        no text, number or truth, such as a day without quotes.
    """
    found = _document_of(name, text.encode("utf-8", "surrogatepass"))
    _check_plain(name, found)
    return found


def _check_plain(name: str, value: Any) -> None:
    """What is edited is marked, compared and shown before its shape is looked at."""
    if isinstance(value, list | dict):
        for one in value.values() if isinstance(value, dict) else value:
            _check_plain(name, one)
    elif not isinstance(value, str | int | float | None):
        raise KnowledgeError(name, "", "", f"{value} must be a text: write it in quotes")


def _version_of(documents: Mapping[str, Any], contents: Mapping[str, bytes]) -> str:
    """Date and number for people, a digest of the contents for certainty."""
    digest = hashlib.sha256(b"\0".join(contents[file] for file in sorted(contents)))
    latest = max(document["date"] for document in documents.values())
    number = max(document["version"] for document in documents.values())
    return f"{latest} no. {number} ({digest.hexdigest()[:12]})"


def document_in(folder: Path, file: str) -> Any:
    """Plain contents of one further file, read as carefully; its shape is the caller's to check."""
    return _document_of(file, _content_of(folder, file))


def _content_of(folder: Path, file: str) -> bytes:
    path = folder / file
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise KnowledgeError(file, "", "", f"is larger than {LARGEST_FILE_BYTES} bytes")
        return path.read_bytes()
    except OSError as error:
        raise KnowledgeError(file, "", "", f"cannot be read: {error.strerror}") from error


# The C parser is some ten times faster; the wheel for our platforms has it.
_FastLoader: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _OnceLoader(_FastLoader):
    """Safe YAML that refuses a key given twice, which plain YAML would quietly drop."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        seen: set[Hashable] = set()
        for key_node, _value in node.value:
            key = self.construct_object(key_node, deep=True)
            if not isinstance(key, str):
                raise yaml.constructor.ConstructorError(
                    None, None, f"key {key!r} is not a word", key_node.start_mark
                )
            if key in seen:
                raise yaml.constructor.ConstructorError(
                    None, None, f"key {key!r} is given twice", key_node.start_mark
                )
            seen.add(key)
        return super().construct_mapping(node, deep=deep)

    def construct_yaml_int(self, node: yaml.ScalarNode) -> int:
        found: int = super().construct_yaml_int(node)
        if abs(found) > _LARGEST_WHOLE:
            raise yaml.constructor.ConstructorError(
                None, None, "a number is too large", node.start_mark
            )
        return found


_OnceLoader.add_constructor("tag:yaml.org,2002:int", _OnceLoader.construct_yaml_int)


def _document_of(file: str, content: bytes) -> Any:
    try:
        _check_growth(file, content)
        # A safe loader, only stricter; linters know the safe ones by name alone.
        return yaml.load(content, Loader=_OnceLoader)  # noqa: S506  # nosec B506
    # The last two are what the parser makes of a tag whose word is none, such as `!!bool maybe`.
    except (yaml.YAMLError, UnicodeDecodeError, ValueError, KeyError, AttributeError) as error:
        if isinstance(error, KnowledgeError):
            raise
        text = " ".join(str(error).split())
        raise KnowledgeError(file, "", "", f"is no YAML that can be used: {text}") from error


def _check_growth(file: str, content: bytes) -> None:
    """Refuse what is small as text and endless when walked: deep nests, aliases of collections."""
    depth = 0
    collections: set[str] = set()
    for event in yaml.parse(content, Loader=_FastLoader):
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if event.anchor:
                collections.add(event.anchor)
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        elif isinstance(event, yaml.AliasEvent) and event.anchor in collections:
            raise KnowledgeError(file, "", "", f"*{event.anchor}: only texts may be shared")
        if depth > DEEPEST_NESTING:
            raise KnowledgeError(file, "", "", f"is nested deeper than {DEEPEST_NESTING} levels")
