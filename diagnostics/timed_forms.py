"""What a person says about a timed look; sides and units are turned into the record's here."""

import re
import uuid
from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.vocabulary import LoadState
from diagnostics.inference.watching.sensor_file import MOST_BYTES
from diagnostics.inference.watching.tap_lines import read_tap_lines
from diagnostics.models import WalkDown
from diagnostics.selectors.walk_route import Place, Route
from diagnostics.services.timed_looks import Post
from plant.loop.vocabulary import Side

_NOTE_LENGTH = 400
_MEGABYTE = 1_000_000


class ClientIdField(forms.CharField):
    """Made by the page, so that sending twice keeps once; a fresh one where it got lost."""

    def __init__(self) -> None:
        super().__init__(required=False, widget=forms.HiddenInput)

    def to_python(self, value: Any) -> Any:
        try:
            return uuid.UUID(str(value))
        except ValueError:
            return uuid.uuid4()


class PostForm(forms.Form):
    """Where a person stands and how the belt runs; `place` is filled by `clean_station`."""

    cautions_read = forms.BooleanField(
        label=_("I have read the cautions and keep to them"),
        error_messages={"required": _("Read the cautions and say so before you go to the belt.")},
    )
    station = forms.CharField(
        label=_("station"),
        max_length=48,
        help_text=_("As the register has it, or a loop position in metres. Best is where the belt "
                    "stands off most."),
        widget=forms.TextInput(attrs={"list": "stations", "autocomplete": "off"}),
    )  # fmt: skip
    load = forms.ChoiceField(
        label=_("the belt is"),
        choices=[(state.value, _(state.value)) for state in LoadState],
        initial=LoadState.LOADED.value,
        widget=forms.RadioSelect,
    )
    is_running_backwards = forms.BooleanField(
        label=_("It runs backwards, against carrying travel"), required=False
    )

    def __init__(self, *args: Any, route: Route, is_reversing: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.route = route
        if not is_reversing:
            del self.fields["is_running_backwards"]

    def clean_station(self) -> Place:
        words: str = self.cleaned_data["station"].strip()
        place = self.route.place_named(words) or self._place_at(words)
        if place is not None:
            return place
        like = self.route.names_like(words)
        if like and not _is_figure(words):
            raise forms.ValidationError(
                _("No station is called “%(words)s”. Did you mean %(like)s?"),
                params={"words": words, "like": ", ".join(like)},
            )
        length_m = self.route.loop.length_m if self.route.loop else 0.0
        raise forms.ValidationError(
            _("Write a station's name as the register has it, or a loop position from 0 to less "
              "than %(length).1f m."),
            params={"length": length_m},
        )  # fmt: skip

    def _place_at(self, words: str) -> Place | None:
        return self.route.place_at(_metres(words)) if _is_figure(words) else None

    def post(self, note: str = "", started_at: datetime | None = None) -> Post:
        filled = self.cleaned_data
        place: Place = filled["station"]
        return Post(
            station=place.station,
            run=place.run,
            position_m=place.position_m,
            load=LoadState(filled["load"]),
            is_running_backwards=filled.get("is_running_backwards", False),
            started_at=started_at,
            note=note,
        )


def _is_figure(words: str) -> bool:
    return re.fullmatch(r"\d{1,7}([.,]\d{1,6})?\s*m?", words) is not None


def _metres(words: str) -> float:
    return float(words.removesuffix("m").replace(",", "."))


class TappingForm(PostForm):
    """The set-up of a tapping watch, as an address carries it."""

    facing = forms.ChoiceField(
        label=_("which way do you face?"),
        choices=WalkDown.Facing.choices,
        initial=WalkDown.Facing.HEAD,
        widget=forms.RadioSelect,
    )

    def is_facing_tail(self) -> bool:
        return bool(self.cleaned_data.get("facing") == WalkDown.Facing.TAIL)


class TapsForm(forms.Form):
    taps = forms.CharField(
        label=_("What you saw, one line each"),
        max_length=80_000,
        widget=forms.Textarea(attrs={"rows": 8, "autocomplete": "off", "spellcheck": "false"}),
        help_text=_(
            "Seconds since you began, or minutes and seconds, then what happened: 12.4 over left, "
            "1:05 back, 20 splice; 300 end when you stopped watching. Left and right as you see it."
        ),
        error_messages={"required": _("Nothing was tapped. Watch the belt and tap, or write it.")},
    )
    note = forms.CharField(label=_("note"), required=False, max_length=_NOTE_LENGTH)
    client_id = ClientIdField()

    def __init__(self, *args: Any, is_facing_tail: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_facing_tail = is_facing_tail

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if "taps" in filled:
            try:
                filled["read"] = read_tap_lines(filled["taps"], is_facing_tail=self.is_facing_tail)
            except ValueError as refusal:
                self.add_error("taps", _("Not kept: %(why)s.") % {"why": refusal})
        return filled

    def client_id_kept(self) -> uuid.UUID:
        kept: uuid.UUID = self.cleaned_data["client_id"]
        return kept


class SensorForm(PostForm):
    started_at = forms.DateTimeField(
        label=_("began"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
        help_text=_("In the plant's time. Empty: it has just ended."),
    )
    plus_is = forms.ChoiceField(
        label=_("plus in the file is to the"),
        choices=[(Side.RIGHT.value, _("right")), (Side.LEFT.value, _("left"))],
        initial=Side.RIGHT.value,
        widget=forms.RadioSelect,
        help_text=_("Looking in carrying travel, on both runs."),
    )
    file = forms.FileField(
        label=_("sensor file"),
        help_text=_(
            "CSV with a row of names first: time in s or date and time, offset in mm, cm, m or in, "
            "and if you can a column splice with 1 at each pass of the reference splice. Comma, "
            "semicolon or tab; decimal point or comma. At most 50 MB."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv"}),
    )
    note = forms.CharField(label=_("note"), required=False, max_length=_NOTE_LENGTH)
    client_id = ClientIdField()
    field_order = [
        "cautions_read",
        "station",
        "load",
        "is_running_backwards",
        "file",
        "plus_is",
        "started_at",
        "note",
    ]

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(
                _("The file has %(size)d MB; at most %(most)d MB are read. Sample more slowly, ten "
                  "a second are enough, or send a shorter stretch."),
                params={"size": file.size // _MEGABYTE, "most": MOST_BYTES // _MEGABYTE},
            )  # fmt: skip
        return file
