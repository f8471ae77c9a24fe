"""Knowledge documents to a bundle's text.

Every text that YAML 1.1 or YAML 1.2 could take for something else is quoted, so that readers of
either kind find the same; fields stand in the order of the schema.
"""

from collections.abc import Mapping
from typing import Any

import yaml

from diagnostics.bundles.reading import plain_value
from diagnostics.bundles.shape import FORMAT, FORMAT_VERSION, Heading
from diagnostics.knowledge_comparison import Documents, Kind
from diagnostics.knowledge_schema import entry_schema

_ABOVE = """\
# Knowledge of mistracking conveyor belts, as one plant holds it to be true: causes, rules,
# work methods and cautions. Meant to be read, changed by hand and taken in by another plant.
#
# This is UTF-8 text in YAML 1.2 without tags, anchors and aliases. Words without quotes are read
# by the core schema: true, false, null and numbers; yes, no, on and off are texts.
# Each field is told by the page "Bundle format" beside the knowledge of any plant.
# The figures are one plant's judgement. Whoever takes them in answers for what they do.
"""
_Dumper: type[Any] = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
_WIDTH = 96


def text_of(documents: Documents, heading: Heading) -> str:
    """The entries of all four documents below the heading; their dates and numbers stay behind."""
    bundle: dict[str, Any] = {"format": FORMAT, "format_version": FORMAT_VERSION}
    bundle |= heading.as_fields()
    for kind in Kind:
        schema = entry_schema(kind.file)
        bundle[kind.key] = [_ordered(one, schema) for one in documents[kind.file][kind.key]]
    return _ABOVE + yaml.dump(
        bundle, Dumper=_Writer, sort_keys=False, allow_unicode=True, width=_WIDTH
    )


def _ordered(value: Any, schema: Mapping[str, Any]) -> Any:
    """Fields as the schema lists them: what a database keeps has no order."""
    if isinstance(value, Mapping):
        parts = schema.get("properties", {})
        names = (*(one for one in parts if one in value), *(one for one in value))
        return {one: _ordered(value[one], parts.get(one, {})) for one in dict.fromkeys(names)}
    if isinstance(value, list):
        return [_ordered(one, schema.get("items", {})) for one in value]
    return value


class _Writer(_Dumper):
    def ignore_aliases(self, data: Any) -> bool:
        """Two entries may share a value in memory; a bundle says it twice."""
        return True


def _represent_text(writer: Any, text: str) -> Any:
    # The writer itself quotes what YAML 1.1 would not read as text, but not what only 1.2 would.
    is_bare = len(text.splitlines()) < 2 and text == text.strip() and _is_text(text)
    style = None if is_bare else '"'
    return writer.represent_scalar("tag:yaml.org,2002:str", text, style=style)


def _is_text(word: str) -> bool:
    try:
        return isinstance(plain_value(word), str)
    except ValueError:
        return False


_Writer.add_representer(str, _represent_text)
