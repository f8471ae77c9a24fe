"""A cause, a work method or a caution as a form, its fields read off the schema of the files.

Small lists of several things, such as the steps of a method, stay text in the language of the
files; everything else is a field of its own.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import yaml
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from diagnostics import knowledge_files
from diagnostics.class_words import CLASS_WORDS
from diagnostics.edition_forms import SLUGS, LinesField, PlainTextField, why_field
from diagnostics.entry_texts import LONGEST_ENTRY
from diagnostics.knowledge_change_words import FIELD_WORDS
from diagnostics.knowledge_comparison import Documents, Entry, Kind, entries_of
from diagnostics.knowledge_schema import SHAPES, KnowledgeError
from plant.words import KIND_WORDS

_LONG = 200
Path = tuple[str, ...]


@dataclass(frozen=True)
class Choices:
    """What of a draft an entry may name."""

    cautions: list[tuple[str, str]]
    methods: list[tuple[str, str]]

    @classmethod
    def of(cls, documents: Documents) -> "Choices":
        cautions = entries_of(documents, Kind.CAUTION)
        methods = entries_of(documents, Kind.WORK_METHOD)
        return cls(
            [(slug, one["says"]) for slug, one in cautions.items()],
            [(slug, one["name"]) for slug, one in methods.items()],
        )


class PartsField(forms.CharField):
    """A list of several things each, such as steps with hours, as text."""

    def to_python(self, value: Any) -> Any:
        typed = super().to_python(value)
        try:
            return knowledge_files.read_text("", typed or "")
        except KnowledgeError as error:
            raise ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, list):
            return yaml.safe_dump(value, sort_keys=False, allow_unicode=True, width=88)
        return value


class EntryFieldsForm(forms.Form):
    """`entry` is what stands, None for a new one; `begun` what a new one is written over."""

    slug = PlainTextField(
        label=_("short name"),
        max_length=60,
        help_text=_("For lists and files; it stays as it is."),
    )
    why = why_field()
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, kind: Kind, entry: Entry | None, choices: Choices, **kwargs: Any
    ) -> None:
        self.kind, self.entry = kind, entry
        kwargs["initial"] = {**_initial(kind, entry or {}), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        if entry is not None:
            del self.fields["slug"]
        else:
            self.fields["slug"].validators.append(SLUGS.get(kind, SLUGS[Kind.RULE]))
        for path, shape in _leaves(kind):
            self.fields[".".join(path)] = _field(path, shape, choices)
        self.order_fields(["slug", *(".".join(path) for path, _shape in _leaves(kind)), "why"])

    def wanted(self) -> dict[str, Any]:
        """The entry as filled in; call when valid."""
        filled = self.cleaned_data
        made: dict[str, Any] = {"slug": self.entry["slug"] if self.entry else filled["slug"]}
        for path, shape in _leaves(self.kind):
            value = _as_before(_value(filled[".".join(path)], shape), _at(self.entry, path))
            if value in ([], None) and _is_optional(self.kind, path) and not _has(self.entry, path):
                continue
            part = made
            for name in path[:-1]:
                part = part.setdefault(name, {})
            part[path[-1]] = value
        return made


def _shape_of(kind: Kind) -> Mapping[str, Any]:
    key, validator = SHAPES[kind.file]
    schema: Any = validator.schema
    items: Mapping[str, Any] = schema["properties"][key]["items"]
    return items


def _leaves(kind: Kind) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    """Fields with their shapes; those of an inner mapping one by one."""
    for name, shape in _shape_of(kind)["properties"].items():
        if name == "slug":
            continue
        if shape.get("type") == "object":
            yield from (((name, inner), one) for inner, one in shape["properties"].items())
        else:
            yield (name,), shape


def _is_optional(kind: Kind, path: Path) -> bool:
    shape = _shape_of(kind)
    for name in path[:-1]:
        shape = shape["properties"][name]
    return path[-1] not in shape["required"]


def _at(entry: Entry | None, path: Path) -> Any:
    found: Any = entry or {}
    for name in path:
        found = found.get(name) if isinstance(found, Mapping) else None
    return found


def _has(entry: Entry | None, path: Path) -> bool:
    return path[-1] in (_at(entry, path[:-1]) or {})


def _initial(kind: Kind, entry: Entry) -> dict[str, Any]:
    return {".".join(path): _at(entry, path) for path, _shape in _leaves(kind)}


def _field(path: Path, shape: Mapping[str, Any], choices: Choices) -> forms.Field:
    label = " · ".join(str(FIELD_WORDS.get(name, name)) for name in path)
    if path == ("cautions",):
        return _boxes(label, choices.cautions)
    if path == ("work_method",):
        return forms.ChoiceField(label=label, choices=choices.methods)
    if "enum" in shape:
        return _one_word(label, path, shape["enum"])
    if shape["type"] == "boolean":
        return forms.BooleanField(label=label, required=False)
    if shape["type"] in ("number", "integer"):
        whole = shape["type"] == "integer"
        return (forms.IntegerField if whole else forms.FloatField)(label=label)
    if shape["type"] == "array":
        return _list(label, shape)
    is_long = shape.get("maxLength", 0) > _LONG
    return PlainTextField(
        label=label,
        required=shape["type"] == "string",
        max_length=shape.get("maxLength"),
        widget=forms.Textarea(attrs={"rows": 4}) if is_long else forms.TextInput,
    )


def _one_word(label: str, path: Path, words: list[Any]) -> forms.ChoiceField:
    said = CLASS_WORDS if path == ("class",) else {}
    named = [(word or "", said.get(word, _(word)) if word else _("none")) for word in words]
    return forms.ChoiceField(label=label, choices=named, required=None not in words)


def _list(label: str, shape: Mapping[str, Any]) -> forms.Field:
    items, least = shape["items"], shape.get("minItems", 0)
    if "enum" in items:
        return _boxes(
            label, [(word, KIND_WORDS.get(word, _(word))) for word in items["enum"]], least
        )
    if items["type"] == "string":
        return LinesField(
            label=label, required=least > 0, help_text=_("One a line."), max_length=4000
        )
    return PartsField(
        label=label,
        max_length=LONGEST_ENTRY,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "class": "as-text"}),
        help_text=_("A hyphen begins each; the lines below it say `name: value`."),
    )


def _boxes(label: str, named: list[tuple[str, Any]], least: int = 1) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label,
        choices=named,
        required=least > 0,
        widget=forms.CheckboxSelectMultiple,
    )


def _value(value: Any, shape: Mapping[str, Any]) -> Any:
    is_none = value == "" and (None in shape.get("enum", ()) or "null" in shape.get("type", ()))
    return None if is_none else value


def _as_before(value: Any, before: Any) -> Any:
    """A form sent as it came changes nothing: neither 5 into 5.0 nor the order of ticked boxes."""
    if value == before and not isinstance(value, bool):
        return before
    if isinstance(value, list) and isinstance(before, list):
        words = [one for one in (*value, *before) if not isinstance(one, str)]
        if not words and len(value) == len(before) and set(value) == set(before):
            return before
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value
