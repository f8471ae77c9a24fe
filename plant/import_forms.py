"""What somebody fills in to send a file for the register."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from plant.models import Plant
from plant.register_files import limits
from plant.register_files.sheets import SHEETS


class RegisterFileForm(forms.Form):
    plant = forms.ModelChoiceField(label=_("plant"), queryset=Plant.objects.none())
    file = forms.FileField(
        label=_("file"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.tsv,.txt"}),
        help_text=_("A workbook (.xlsx) or one table as text (.csv)."),
    )
    sheet = forms.ChoiceField(
        label=_("rows of a text file"),
        required=False,
        choices=[("", _("told by its columns")), *((one.code, _(one.title)) for one in SHEETS)],
    )

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plant"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = plants
        if len(plants) == 1:
            field.initial = plants[0]

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > limits.LARGEST_FILE_BYTES:
            raise forms.ValidationError(
                _("The file is larger than %(most)d MB. Send it in parts."),
                params={"most": limits.LARGEST_FILE_BYTES // 1_000_000},
            )
        return file
