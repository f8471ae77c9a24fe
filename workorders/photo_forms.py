"""Photos of an order as they are sent with a form, and what is said of them."""

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.attachment_forms import SentFilesForm
from workorders.models import OrderPhoto


class OrderPhotoForm(SentFilesForm):
    moment = forms.ChoiceField(
        label=_("they show it"), choices=OrderPhoto.Moment.choices, widget=forms.RadioSelect
    )
    field_order = ("moment", "photos", "chosen", "caption")


class SayForm(forms.Form):
    """What one photo shows."""

    moment = forms.ChoiceField(
        label=_("it shows it"), choices=OrderPhoto.Moment.choices, widget=forms.RadioSelect
    )
    caption = forms.CharField(label=_("what it shows"), required=False, max_length=200)
