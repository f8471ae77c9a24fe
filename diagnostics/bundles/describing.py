"""The schema of a bundle in words, field by field, so that the page cannot tell another format."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.formats import localize
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics.bundles.shape import HEADING, SCHEMA
from diagnostics.knowledge_change_words import FIELD_WORDS, KINDS_WORDS
from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_words import FEATURE_WORDS

Schema = Mapping[str, Any]
_MORE_WORDS: dict[str, str | Promise] = {
    "format": gettext_lazy("what the text is"),
    "format_version": gettext_lazy("version of the format"),
    "written_on": gettext_lazy("day it was written"),
    "plant": gettext_lazy("whose knowledge it is"),
    "edition": gettext_lazy("which edition of it"),
    "cause": gettext_lazy("short name of a cause"),
    "tell_apart": gettext_lazy("how to tell them apart"),
    "ratio": gettext_lazy("how many times likelier it is seen with that cause"),
}


@dataclass(frozen=True)
class Told:
    """One field; `name` as it is written, with the names around it."""

    name: str
    about: str | Promise
    form: str
    words: tuple[str, ...]
    is_needed: bool


@dataclass(frozen=True)
class Part:
    key: str
    heading: str | Promise
    fields: list[Told]


def parts() -> list[Part]:
    """The heading of a bundle, then each kind of entry."""
    properties: Schema = SCHEMA["properties"]
    heading = {
        "properties": {name: properties[name] for name in HEADING},
        "required": SCHEMA["required"],
    }
    found = [Part("heading", _("Above the entries"), list(_fields("", heading)))]
    for kind in Kind:
        told = list(_fields("", properties[kind.key]["items"]))
        found.append(Part(kind.key, KINDS_WORDS[kind], told))
    return found


def _fields(around: str, schema: Schema) -> Iterator[Told]:
    for name, one in schema["properties"].items():
        full = f"{around}{name}"
        words: Schema = one["items"] if one.get("type") == "array" else one
        yield Told(
            name=full,
            about=_about(name),
            form=_form(one),
            words=tuple("null" if word is None else str(word) for word in words.get("enum", ())),
            is_needed=name in schema.get("required", ()),
        )
        if "properties" in words:
            yield from _fields(f"{full} › ", words)


def _about(name: str) -> str | Promise:
    return _MORE_WORDS.get(name) or FIELD_WORDS.get(name) or FEATURE_WORDS.get(name) or name


def _form(schema: Schema) -> str:
    if "const" in schema:
        return _("always %(value)s") % {"value": schema["const"]}
    if "enum" in schema:
        return _("one of these words")
    kinds = schema.get("type")
    if kinds == "array":
        return _list(schema)
    if kinds == "object":
        return _("names and values, told below")
    if kinds == "boolean":
        return _("true or false")
    if kinds in ("number", "integer"):
        return _number(schema, _("number") if kinds == "number" else _("whole number"))
    text = _text(schema)
    return _("%(text)s, or null") % {"text": text} if isinstance(kinds, list) else text


def _list(schema: Schema) -> str:
    items: Schema = schema["items"]
    least = schema.get("minItems", 0)
    what = _("list of entries told below") if "properties" in items else _form(items)
    if "enum" in items:
        what = _("list of these words")
    elif "properties" not in items:
        what = _("list, each: %(what)s") % {"what": what}
    return _("%(what)s, at least %(least)d") % {"what": what, "least": least} if least else what


def _number(schema: Schema, kind: str) -> str:
    limits = (
        ("exclusiveMinimum", _("above %(limit)s")),
        ("minimum", _("at least %(limit)s")),
        ("maximum", _("at most %(limit)s")),
    )
    told = [words % {"limit": _limit(schema[one])} for one, words in limits if one in schema]
    return ", ".join([kind, *told])


def _limit(value: float) -> str:
    return str(localize(int(value) if float(value).is_integer() else value))


def _text(schema: Schema) -> str:
    pattern = schema.get("pattern", "")
    if "[0-9]{4}" in pattern:
        return _("day as text, like 2026-11-28")
    if "a-z" in pattern:
        if "_" in pattern:
            return _("3 to 60 small letters, digits and _, a letter first")
        return _("3 to 60 small letters, digits and -, a letter first")
    least, most = schema.get("minLength"), schema.get("maxLength")
    if least is None:
        return _("text of at most %(most)s characters") % {"most": localize(most)}
    words = {"least": localize(least), "most": localize(most)}
    return _("text of %(least)s to %(most)s characters") % words
