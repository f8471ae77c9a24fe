"""Close looks, and what a person says about a cause."""

from difflib import get_close_matches
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from diagnostics.photo_forms import PhotosForm
from diagnostics.selectors import suspects
from diagnostics.selectors.suspects import NamedPlace
from plant.loop.path import Loop

_WHY_LENGTH = 400


class FindingForm(PhotosForm):
    cause = forms.ChoiceField(label=_("looked for"))
    found = forms.ChoiceField(
        label=_("is it there?"),
        choices=[("yes", _("yes")), ("no", _("no"))],
        widget=forms.RadioSelect,
    )
    place = forms.CharField(label=_("where"), required=False, max_length=48)
    note = forms.CharField(label=_("note"), required=False, max_length=400)
    field_order = ["cause", "found", "place", "note", "photos"]

    def __init__(self, *args: Any, plant_id: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["cause"]
        field.choices = [("", _("choose one")), *suspects.causes_by_class(plant_id)]


class AcceptForm(forms.Form):
    why = forms.CharField(label=_("what settled it"), required=False, max_length=_WHY_LENGTH)


class NameCauseForm(forms.Form):
    cause = forms.ChoiceField(label=_("cause"))
    place = forms.CharField(
        label=_("where"),
        required=False,
        max_length=48,
        help_text=_("A station as the register calls it. Leave empty for the belt itself."),
    )
    why = forms.CharField(label=_("what settled it"), required=False, max_length=_WHY_LENGTH)

    def __init__(self, *args: Any, loop: Loop | None, plant_id: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.loop = loop
        field: Any = self.fields["cause"]
        field.choices = [("", _("choose one")), *suspects.causes_by_class(plant_id)]

    def clean_place(self) -> NamedPlace:
        name = self.cleaned_data["place"]
        if not name:
            return NamedPlace("", "", None)
        found = suspects.place_named(self.loop, name)
        if found is None:
            raise ValidationError(self._unknown(name))
        return found

    def _unknown(self, name: str) -> Any:
        names = [station.name for station in self.loop.stations] if self.loop else []
        near = get_close_matches(name, names, n=3, cutoff=0.4)
        if not near:
            return _("No station of this belt is called %(name)s.") % {"name": name}
        return _("No station of this belt is called %(name)s. Near it: %(near)s.") % {
            "name": name,
            "near": ", ".join(near),
        }
