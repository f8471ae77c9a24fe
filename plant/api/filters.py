"""Narrowing a list: every filter of words takes several, each given by its own `name=value`."""

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.forms.widgets import SelectMultiple
from django_filters import filters
from drf_spectacular.drainage import set_override

from plant.api.times import InstantFilter
from plant.api.words import wire_word

# More than any list of states, belts or causes somebody would ask for at once.
_MOST = 100
_LONGEST = 200


class _SeveralWords(forms.Field):
    widget = SelectMultiple

    def __init__(self, *, value_of: Mapping[str, str] | None = None, **options: Any) -> None:
        self.value_of = value_of
        super().__init__(**options)

    def clean(self, value: Any) -> list[str]:
        words = list(value or [])
        if "" in words:
            # A name whose value got lost on the way would narrow nothing and be believed.
            raise forms.ValidationError("Give a word, or leave it out.", code="blank")
        if len(words) > _MOST:
            raise forms.ValidationError(f"Give at most {_MOST}.", code="too_many")
        return [self._value(word) for word in words]

    def _value(self, word: str) -> str:
        if "\x00" in word or len(word) > _LONGEST:
            raise forms.ValidationError(f"Give up to {_LONGEST} letters.", code="invalid")
        if self.value_of is None:
            return word
        if word not in self.value_of:
            raise forms.ValidationError(_unknown(word, self.value_of), code="invalid_choice")
        return self.value_of[word]


class Words(filters.Filter):
    """Rows with any of the words. Of a closed list, given in wire words, when `of` names one."""

    field_class = _SeveralWords
    takes_several = True

    def __init__(
        self,
        field_name: str,
        label: str,
        *,
        of: Iterable[str] | None = None,
        any_case: bool = False,
    ) -> None:
        value_of = None if of is None else {wire_word(one): str(one) for one in of}
        super().__init__(field_name=field_name, label=label, value_of=value_of)
        self._any_case = any_case
        set_override(self, "field", several_schema(label, value_of))

    def filter(self, qs: QuerySet[Any], value: list[str]) -> QuerySet[Any]:
        if not value:
            return qs
        if not self._any_case:
            return qs.filter(**{f"{self.field_name}__in": value})
        any_of = Q()
        for one in value:
            any_of |= Q(**{f"{self.field_name}__iexact": one})
        return qs.filter(any_of)


class Filled(filters.ChoiceFilter):
    """`yes`: rows where the field is filled; `no`: those where it is empty."""

    def __init__(self, field_name: str, label: str) -> None:
        words = [("yes", "yes"), ("no", "no")]
        super().__init__(field_name=field_name, label=label, choices=words)
        set_override(self, "field", {"type": "string", "enum": ["yes", "no"], "description": label})

    def filter(self, qs: QuerySet[Any], value: str) -> QuerySet[Any]:
        return qs.filter(**{f"{self.field_name}__isnull": value == "no"}) if value else qs


class ChangedSince(InstantFilter):
    def __init__(self) -> None:
        super().__init__(
            field_name="changed_at",
            lookup_expr="gte",
            label="Changed at or after this instant (ISO 8601, UTC unless it says otherwise).",
        )


def of_plant(way: str) -> Words:
    """Every list has it; a key sees one plant, so another's code finds nothing."""
    return Words(
        way, "Code of the plant. A key sees one; of others the list is empty.", any_case=True
    )


def of_conveyor(way: str = "conveyor__tag") -> Words:
    return Words(way, "Tag of the conveyor, whatever its letters' case.", any_case=True)


def several_schema(label: str, choices: Iterable[str] | None) -> dict[str, Any]:
    one: dict[str, Any] = {"type": "string"}
    if choices is not None:
        one["enum"] = list(choices)
    return {
        "type": "array",
        "items": one,
        "description": f"{label} May be given several times: any of them.",
    }


def _unknown(word: str, choices: Iterable[str]) -> str:
    names = list(choices)
    near = get_close_matches(word.lower(), names, 1, 0.5)
    nearest = f" Nearest: {near[0]}." if near else ""
    return f"{word[:60]} is none.{nearest} There are: {', '.join(names)}."
