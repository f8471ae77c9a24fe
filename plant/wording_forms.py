"""Words of a system as a form: ours beside theirs."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.models import ConnectedSystem, WordingChange
from plant.system_forms import EntriesForm
from plant.wording.refusals import TAGS
from plant.wording.wording import Words
from plant.wording_entries import Entry, Value
from plant.wording_shelf import Vocabulary

LONGEST = 200


@dataclass(frozen=True)
class Pair:
    """One line of the form; `is_gone` where ours is no word any more."""

    wire: str
    words: str | Promise
    theirs: Any
    preferred: Any
    is_shared: bool = False
    is_gone: bool = False

    @property
    def is_other(self) -> bool:
        """Over the wire it is written otherwise than people read it."""
        return str(self.words) != self.wire


class WordsForm(EntriesForm):
    """Every word of one vocabulary; an empty field means that there is none."""

    kept_as = WordingChange.Kind.WORDS

    def __init__(
        self,
        *args: Any,
        system: ConnectedSystem,
        vocabulary: Vocabulary,
        words: Words | None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self._vocabulary = vocabulary
        self._stands = words or Words({})
        ours = {word.wire: word.words for word in vocabulary.of(system.plant)}
        gone = sorted(self._stands.theirs.keys() - ours.keys())
        self._ours: Mapping[str, str | Promise] = {**ours, **{wire: wire for wire in gone}}
        self._gone = set(gone)
        for place, wire in enumerate(self._ours):
            self._add(place, wire)

    def _add(self, place: int, wire: str) -> None:
        self.fields[f"theirs_{place}"] = forms.CharField(
            label=str(self._ours[wire]),
            required=False,
            max_length=LONGEST,
            initial=self._stands.theirs.get(wire, ""),
            widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
        )
        self.fields[f"meant_{place}"] = forms.BooleanField(
            label=_("meant when it comes in"),
            required=False,
            initial=wire in self._stands.preferred,
        )

    def pairs(self) -> Iterator[Pair]:
        for place, (wire, words) in enumerate(self._ours.items()):
            theirs = self._stands.theirs.get(wire, "")
            yield Pair(
                wire,
                words,
                self[f"theirs_{place}"],
                self[f"meant_{place}"],
                is_shared=len(self._stands.ours.get(theirs, ())) > 1,
                is_gone=wire in self._gone,
            )

    def wanted(self) -> dict[Entry, Value | None]:
        found: dict[Entry, Value | None] = {}
        for place, wire in enumerate(self._ours):
            theirs = self.cleaned_data[f"theirs_{place}"]
            value = Value(theirs, self.cleaned_data[f"meant_{place}"]) if theirs else None
            found[Entry(self._vocabulary.name, None, wire)] = value
        return found


@dataclass(frozen=True)
class Place:
    """A conveyor, or a component on it, that can have an asset tag."""

    conveyor_id: int
    component: str
    words: str


class TagsForm(EntriesForm):
    """Asset tags of some places."""

    kept_as = WordingChange.Kind.TAGS

    def __init__(
        self,
        *args: Any,
        system: ConnectedSystem,
        places: Sequence[tuple[Place, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self._places = places
        for place, tag in places:
            self.fields[_name(place)] = forms.CharField(
                label=place.words,
                required=False,
                max_length=LONGEST,
                initial=tag,
                widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
            )

    def lines(self) -> Iterator[tuple[Place, Any]]:
        for place, _tag in self._places:
            yield place, self[_name(place)]

    def wanted(self) -> dict[Entry, Value | None]:
        """Only what stands on the page: another page's tags stay as they are."""
        found: dict[Entry, Value | None] = {}
        for place, _tag in self._places:
            tag = self.cleaned_data[_name(place)]
            entry = Entry(TAGS, place.conveyor_id, place.component)
            found[entry] = Value(tag) if tag else None
        return found


def _name(place: Place) -> str:
    return f"tag_{place.conveyor_id}_{place.component}"
