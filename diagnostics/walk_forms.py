"""What a person says on a walk-down; sides and units are turned into the record's here."""

import uuid
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.inference import as_seen
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from diagnostics.models import WalkDown
from diagnostics.selectors.walk_route import Place
from diagnostics.services.walking import Pass, Seen
from plant.loop.vocabulary import Run, Side

OFFSET, NOT_SEEN = "offset", "not seen"
_REASON_LENGTH = 200
_LOADS = [(state.value, _(state.value)) for state in LoadState]
_PERSISTENCES = [
    ("", _("not watched")),
    (Persistence.STEADY.value, _("steady")),
    (Persistence.COMES_AND_GOES.value, _("comes and goes with the belt")),
    (Persistence.NO_PATTERN.value, _("no pattern")),
]


class StartForm(forms.Form):
    cautions_read = forms.BooleanField(
        label=_("I have read the cautions and keep to them"),
        error_messages={"required": _("Read the cautions and say so before you go to the belt.")},
    )
    facing = forms.ChoiceField(
        label=_("which way do you face?"),
        choices=WalkDown.Facing.choices,
        initial=WalkDown.Facing.HEAD,
        widget=forms.RadioSelect,
    )
    load = forms.ChoiceField(
        label=_("the belt is"),
        choices=_LOADS,
        initial=LoadState.LOADED.value,
        widget=forms.RadioSelect,
    )
    is_running_backwards = forms.BooleanField(
        label=_("It runs backwards, against carrying travel"), required=False
    )
    stopped_reason = forms.CharField(
        label=_("the belt stands still because"),
        required=False,
        max_length=_REASON_LENGTH,
        help_text=_("Only if you cannot watch it. Leave empty when it runs."),
    )

    def __init__(self, *args: Any, is_reversing: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_reversing:
            del self.fields["is_running_backwards"]

    def how(self) -> Pass:
        filled = self.cleaned_data
        return Pass(
            facing=filled["facing"],
            load=LoadState(filled["load"]),
            is_running_backwards=filled.get("is_running_backwards", False),
            stopped_reason=filled["stopped_reason"],
        )


class LookForm(forms.Form):
    """One look, as it was made: facing, load and direction are those the page showed."""

    seen = forms.CharField(max_length=30)
    client_id = forms.UUIDField()
    facing = forms.ChoiceField(choices=WalkDown.Facing.choices)
    load = forms.ChoiceField(choices=_LOADS)
    is_running_backwards = forms.BooleanField(required=False)
    offset = forms.CharField(label=_("offset"), required=False, max_length=40)
    offset_side = forms.ChoiceField(
        required=False, choices=[("", ""), *((side.value, side.value) for side in Side)]
    )
    persistence = forms.ChoiceField(required=False, choices=_PERSISTENCES)
    not_seen_reason = forms.CharField(required=False, max_length=_REASON_LENGTH)
    note = forms.CharField(required=False, max_length=400)

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        seen = filled.get("seen", "")
        if seen == OFFSET:
            self._read_offset()
        elif seen == NOT_SEEN:
            if not filled.get("not_seen_reason", "").strip():
                self.add_error("not_seen_reason", _("Say why it could not be seen."))
        elif seen and _degree_and_side(seen) is None:
            self.add_error(
                "seen", _("Say centred, or which side and how far, or an offset in mm or inches.")
            )
        return filled

    def _read_offset(self) -> None:
        filled = self.cleaned_data
        side = Side(filled["offset_side"]) if filled.get("offset_side") else None
        try:
            filled["offset_mm"] = as_seen.offset_from_words(
                filled.get("offset", ""), side, is_facing_tail=self._is_facing_tail()
            )
        except ValueError as refusal:
            self.add_error("offset", _("The offset %(refusal)s.") % {"refusal": _sentence(refusal)})

    def _is_facing_tail(self) -> bool:
        return bool(self.cleaned_data.get("facing") == WalkDown.Facing.TAIL)

    def look_at(self, place: Place) -> Seen:
        """The look in the one convention of the record."""
        filled = self.cleaned_data
        degree, side = _degree_and_side(filled["seen"]) or (None, None)
        if side is not None:
            side = as_seen.side_in_register(side, is_facing_tail=self._is_facing_tail())
        persistence = filled["persistence"]
        return Seen(
            station=place.station,
            run=place.run,
            position_m=place.position_m,
            load=LoadState(filled["load"]),
            offset_mm=filled.get("offset_mm"),
            degree=degree,
            side=side,
            persistence=Persistence(persistence) if persistence else None,
            is_running_backwards=filled["is_running_backwards"],
            not_seen_reason=filled["not_seen_reason"] if filled["seen"] == NOT_SEEN else "",
            note=filled["note"],
        )

    def client_id_kept(self) -> uuid.UUID:
        kept: uuid.UUID = self.cleaned_data["client_id"]
        return kept


def _sentence(refusal: ValueError) -> str:
    words = str(refusal)
    return words if words.startswith("must") else f"cannot be read: {words}"


def _degree_and_side(seen: str) -> tuple[Degree, Side | None] | None:
    """`centred`, or `half left`: the word of a button."""
    if seen == Degree.CENTRED:
        return Degree.CENTRED, None
    degree, _space, side = seen.partition(" ")
    try:
        found = Degree(degree), Side(side)
    except ValueError:
        return None
    return None if found[0] is Degree.CENTRED else found


class PlaceForm(forms.Form):
    """Where a look is made while the register knows no stations."""

    station = forms.CharField(label=_("station"), max_length=48)
    position = forms.FloatField(
        label=_("loop position in m"),
        min_value=0,
        max_value=100_000,
        help_text=_("Metres along the belt from the tail pulley, in carrying travel."),
    )
    run = forms.ChoiceField(
        label=_("run"), choices=[(run.value, _(run.value)) for run in Run], widget=forms.RadioSelect
    )

    def place(self) -> Place:
        filled = self.cleaned_data
        return Place(filled["station"], Run(filled["run"]), filled["position"])


class RemarksForm(forms.Form):
    remarks = forms.MultipleChoiceField(
        label=_("also noticed"),
        required=False,
        choices=[(one.value, _(one.value)) for one in Remark],
        widget=forms.CheckboxSelectMultiple,
    )
    note = forms.CharField(
        label=_("note"), required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )
