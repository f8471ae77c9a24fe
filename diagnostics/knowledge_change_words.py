"""Differences of knowledge in the words of the pages: kinds, fields, values before and after."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import formats
from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference import strength
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.knowledge_comparison import Entry, EntryChange, FieldChange, Kind
from diagnostics.knowledge_words import FEATURE_WORDS

Words = str | Promise

KIND_WORDS: dict[Kind, Words] = {
    Kind.RULE: gettext_lazy("rule"),
    Kind.CAUSE: gettext_lazy("cause"),
    Kind.WORK_METHOD: gettext_lazy("work method"),
    Kind.CAUTION: gettext_lazy("caution"),
}
KINDS_WORDS: dict[Kind, Words] = {
    Kind.RULE: gettext_lazy("Rules"),
    Kind.CAUSE: gettext_lazy("Causes"),
    Kind.WORK_METHOD: gettext_lazy("Work methods"),
    Kind.CAUTION: gettext_lazy("Cautions"),
}
FIELD_WORDS: dict[str, Words] = {
    "slug": gettext_lazy("short name"),
    "name": gettext_lazy("name"),
    "says": gettext_lazy("says"),
    "when": gettext_lazy("when"),
    "speaks": gettext_lazy("speaks about"),
    "source": gettext_lazy("source"),
    "version": gettext_lazy("version"),
    "class": gettext_lazy("family"),
    "pattern": gettext_lazy("pattern"),
    "stands_at": gettext_lazy("stands at"),
    "needs": gettext_lazy("only on a conveyor with"),
    "weight": gettext_lazy("how common in its family"),
    "shows": gettext_lazy("where and how it shows"),
    "look_alikes": gettext_lazy("taken for"),
    "confirm": gettext_lazy("how to be sure"),
    "what": gettext_lazy("what"),
    "minutes": gettext_lazy("minutes"),
    "needs_stop": gettext_lazy("belt stopped"),
    "tools": gettext_lazy("tools"),
    "correct": gettext_lazy("how to mend it"),
    "shift": gettext_lazy("what is shifted"),
    "size_unit": gettext_lazy("unit of its size"),
    "tolerance": gettext_lazy("tolerance"),
    "cautions": gettext_lazy("cautions"),
    "work_method": gettext_lazy("work method"),
    "people": gettext_lazy("people"),
    "needs_isolation": gettext_lazy("needs isolation"),
    "steps": gettext_lazy("steps"),
    "hours": gettext_lazy("hours"),
    "skill": gettext_lazy("skill"),
    "parts": gettext_lazy("parts"),
    "proof": gettext_lazy("proof"),
}


@dataclass(frozen=True)
class ShownField:
    label: str
    before: str
    after: str


@dataclass(frozen=True)
class ShownChange:
    """One entry that differs; `said` is new, dropped or changed."""

    kind: Kind
    kind_words: Words
    slug: str
    name: str
    said: Words
    is_gone: bool
    fields: list[ShownField]


def shown_change(change: EntryChange, cause_names: Mapping[str, str]) -> ShownChange:
    entry: Entry = change.after if change.after is not None else (change.before or {})
    said = _("changed")
    if change.is_new or change.is_gone:
        said = _("new") if change.is_new else _("dropped")
    return ShownChange(
        kind=change.kind,
        kind_words=KIND_WORDS[change.kind],
        slug=change.slug,
        name=entry_name(entry),
        said=said,
        is_gone=change.is_gone,
        fields=[shown_field(one, cause_names) for one in change.fields],
    )


def entry_name(entry: Entry) -> str:
    """What a person knows an entry by."""
    return str(entry.get("name") or entry.get("says") or entry.get("slug", ""))


def shown_field(change: FieldChange, cause_names: Mapping[str, str]) -> ShownField:
    is_weight = change.path[0] == "speaks"
    say = _weight if is_weight else _value
    return ShownField(
        label=" · ".join(str(one) for one in _path_words(change.path, cause_names)),
        before=say(change.before),
        after=say(change.after),
    )


def _path_words(path: tuple[str, ...], cause_names: Mapping[str, str]) -> Iterable[Words]:
    for place, part in enumerate(path):
        if place and path[0] in ("speaks", "look_alikes"):
            yield cause_names.get(part) or _class_words(part)
        elif place and path[0] == "when":
            yield FEATURE_WORDS.get(part, part)
        else:
            yield FIELD_WORDS.get(part, part)


def _class_words(name: str) -> Words:
    if name in {one.value for one in CauseClass}:
        return format_lazy(_("all of: {family}"), family=CLASS_WORDS[CauseClass(name)])
    return name.replace("_", " ")


def _weight(value: Any) -> str:
    if isinstance(value, int | float) and value > 0:
        return f"{_(strength.in_words(value))} ({formats.localize(value)})"
    return _value(value)


def _value(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, list):
        return "; ".join(_value(one) for one in value)
    if isinstance(value, Mapping):
        return ", ".join(f"{FIELD_WORDS.get(k, k)}: {_value(v)}" for k, v in value.items())
    if isinstance(value, int | float):
        return str(formats.localize(value))
    return _(value) if value else ""
