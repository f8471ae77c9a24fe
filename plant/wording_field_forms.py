"""Fields that are added to records for a system, and fields it knows by other names."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.models import ConnectedSystem, WordingChange
from plant.selectors.wordings import CONSTANT, COPY, RENAMED
from plant.system_forms import EntriesForm
from plant.wording.going_out import ASSET_TAG
from plant.wording.wording import Fields
from plant.wording_entries import Entry, Value
from plant.wording_shelf import Kind

_LONGEST_NAME = 80
_BLANK_LINES = 3
_PLAIN = {"autocomplete": "off", "spellcheck": "false"}


class Line(NamedTuple):
    name: Any
    source: Any
    text: Any


class FieldsForm(EntriesForm):
    """Of one kind of record; a line without a name is none."""

    kept_as = WordingChange.Kind.FIELDS

    def __init__(
        self, *args: Any, system: ConnectedSystem, kind: Kind, fields: Fields | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self._kind, self._stands = kind, fields or Fields()
        self._ours = list(kind.fields())
        added: list[tuple[str, str, str]] = [
            *((name, "", text) for name, text in self._stands.constants.items()),
            *((name, source, "") for name, source in self._stands.copies.items()),
        ]
        self._lines = sorted(added) + [("", "", "")] * _BLANK_LINES
        for place, line in enumerate(self._lines):
            self._add_line(place, *line)
        for name in self._ours:
            self.fields[f"renamed_{name}"] = _text(name, self._stands.renamed.get(name, ""))

    def _add_line(self, place: int, name: str, source: str, text: str) -> None:
        self.fields[f"name_{place}"] = _text(gettext_lazy("Name of the added field"), name)
        self.fields[f"source_{place}"] = forms.ChoiceField(
            label=gettext_lazy("What it holds"),
            required=False,
            initial=source,
            choices=self._sources(),
        )
        self.fields[f"text_{place}"] = forms.CharField(
            label=gettext_lazy("Text"), required=False, max_length=200, initial=text
        )

    def _sources(self) -> list[tuple[str, Any]]:
        nested = ["conveyor.tag", "conveyor.name"] if self._kind.newest else []
        copies = [(name, name) for name in [*self._ours, *nested]]
        tag = (ASSET_TAG, gettext_lazy("asset tag: of the component, else of the conveyor"))
        return [("", gettext_lazy("always this text:")), tag, *copies]

    def lines(self) -> Iterator[Line]:
        for place in range(len(self._lines)):
            yield Line(*(self[f"{part}_{place}"] for part in ("name", "source", "text")))

    def renames(self) -> Iterator[Any]:
        for name in self._ours:
            yield self[f"renamed_{name}"]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        taken: dict[str, str] = {}
        for ours in self._ours:
            self._take(taken, cleaned.get(f"renamed_{ours}") or ours, f"renamed_{ours}")
        for place in range(len(self._lines)):
            name = cleaned.get(f"name_{place}")
            if name:
                self._take(taken, name, f"name_{place}")
                if not cleaned.get(f"source_{place}") and not cleaned.get(f"text_{place}"):
                    self.add_error(f"text_{place}", _("Say what the field holds."))
        return cleaned

    def _take(self, taken: dict[str, str], name: str, field: str) -> None:
        if name in taken:
            # Said where somebody typed, not at a field that kept its name.
            at = field if self.cleaned_data.get(field) else taken[name]
            self.add_error(at, _("Another field goes out under this name. Give another."))
        taken.setdefault(name, field)

    def wanted(self) -> dict[Entry, Value | None]:
        kind = self._kind.name
        found: dict[Entry, Value | None] = {}
        for name in self._stands.constants:
            found[Entry(CONSTANT + kind, None, name)] = None
        for name in self._stands.copies:
            found[Entry(COPY + kind, None, name)] = None
        for name, source, text in self._filled():
            entry = Entry((COPY if source else CONSTANT) + kind, None, name)
            found[entry] = Value(source or text)
        return found | self._renamed()

    def _filled(self) -> Iterator[tuple[str, str, str]]:
        filled: Mapping[str, Any] = self.cleaned_data
        for place in range(len(self._lines)):
            if filled[f"name_{place}"]:
                name, source, text = (filled[f"{p}_{place}"] for p in ("name", "source", "text"))
                yield name, source, text

    def _renamed(self) -> dict[Entry, Value | None]:
        found: dict[Entry, Value | None] = {}
        for ours in self._ours:
            theirs = self.cleaned_data[f"renamed_{ours}"]
            entry = Entry(RENAMED + self._kind.name, None, ours)
            found[entry] = Value(theirs) if theirs and theirs != ours else None
        return found


def _text(label: Any, initial: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        required=False,
        max_length=_LONGEST_NAME,
        initial=initial,
        widget=forms.TextInput(attrs=_PLAIN),
    )
