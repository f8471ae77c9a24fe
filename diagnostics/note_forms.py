"""Notes from the field as they are written, changed, ended and looked for."""

import uuid
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models.field_note import LONGEST
from diagnostics.photo_forms import PhotosForm
from diagnostics.selectors.field_notes import where_named
from diagnostics.selectors.suspects import causes_by_class
from diagnostics.services.field_notes import NewNote, Subject
from plant.models import Component, Conveyor, Plant


class NoteTextForm(PhotosForm):
    """The words and photos of a note."""

    text = forms.CharField(
        label=_("what the next one should know"),
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3, "maxlength": LONGEST}),
        error_messages={"required": _("Write what the next person should know.")},
    )
    field_order = ["text", "photos"]

    def new_note(self) -> NewNote:
        return NewNote(
            client_id=self.cleaned_data["sent_as"] or uuid.uuid4(),
            text=self.cleaned_data["text"],
            photos=[(one.name or "", one.read()) for one in self.cleaned_data["photos"]],
        )


class NoteForm(NoteTextForm):
    """A new note with what it is about: a cause, a place of the plant, or both."""

    cause = forms.ChoiceField(label=_("on the cause"), required=False)
    conveyor = forms.ModelChoiceField(
        Conveyor.objects.none(), label=_("on the conveyor"), required=False, empty_label=_("none")
    )
    component = forms.ModelChoiceField(
        Component.objects.none(), required=False, widget=forms.HiddenInput
    )
    place = forms.CharField(
        label=_("where on it"),
        required=False,
        max_length=48,
        help_text=_("A station or component as the register calls it, if there is one."),
    )
    field_order = ["text", "photos", "cause", "conveyor", "place"]

    def __init__(self, *args: Any, plant: Plant, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cause"].choices = [  # type: ignore[attr-defined]
            ("", _("none")),
            *causes_by_class(plant.pk),
        ]
        fields: dict[str, Any] = self.fields
        fields["conveyor"].queryset = plant.conveyors.order_by("tag")
        fields["component"].queryset = Component.objects.filter(conveyor__plant=plant)

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        component = filled.get("component")
        if component and filled.get("conveyor") and component.conveyor != filled["conveyor"]:
            # Another conveyor was chosen than the one whose component was asked for.
            filled["component"] = None
        elif component:
            filled["conveyor"] = component.conveyor
        self._find_place(filled)
        if not self.errors and not filled.get("cause") and not filled.get("conveyor"):
            self.add_error("cause", _("Say what the note is about: a cause or a conveyor."))
        return filled

    def _find_place(self, filled: dict[str, Any]) -> None:
        """A station that was typed belongs to a component, and may be one set of it."""
        filled["position_m"] = None
        if filled.get("conveyor") and filled.get("place"):
            component, position_m = where_named(filled["conveyor"], filled["place"])
            filled["component"] = component or filled.get("component")
            filled["position_m"] = position_m

    def about(self) -> Subject:
        filled = self.cleaned_data
        names = ("cause", "conveyor", "component", "place", "position_m")
        return Subject(**{name: filled[name] for name in names})


class StationNoteForm(NoteTextForm):
    """A note left where somebody stands on a walk-down."""

    station = forms.CharField(max_length=48)
    # Away from any station.
    position = forms.FloatField(required=False, min_value=0, max_value=100_000)
    cause = forms.ChoiceField(required=False)

    def __init__(self, *args: Any, causes: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cause"].choices = [("", ""), *causes]  # type: ignore[attr-defined]


class NoLongerForm(forms.Form):
    why = forms.CharField(
        label=_("why it is no longer so"),
        max_length=200,
        help_text=_("Such as: chute replaced in March."),
        error_messages={"required": _("Say why it is no longer so.")},
    )


class NoteFilter(forms.Form):
    cause = forms.ChoiceField(label=_("on the cause"), required=False)
    conveyor = forms.ModelChoiceField(
        Conveyor.objects.none(), label=_("on the conveyor"), required=False, empty_label=_("all")
    )
    past = forms.BooleanField(label=_("also those that no longer hold"), required=False)

    def __init__(self, *args: Any, plant: Plant | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        causes = causes_by_class(plant.pk) if plant else []
        fields["cause"].choices = [("", _("all")), *causes]
        if plant:
            fields["conveyor"].queryset = plant.conveyors.order_by("tag")
