"""What one shift tells the next, and what a person wants to be reminded of."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from workorders.attention import AttentionKind
from workorders.attention_words import ATTENTION_WORDS


class HandOverForm(forms.Form):
    words = forms.CharField(
        label=_("for the next shift"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_("What runs badly, what was begun, what stands open, where locks hang."),
    )


class ReminderForm(forms.Form):
    kinds = forms.MultipleChoiceField(
        label=_("Write to me about"),
        required=False,
        choices=[(kind.value, words) for kind, words in ATTENTION_WORDS.items()],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Each order once for each reason. Nothing ticked: no mail."),
    )
    at = forms.TimeField(
        label=_("not before"),
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text=_("In the plant's own time, once a day."),
    )

    def wanted(self) -> list[AttentionKind]:
        return [AttentionKind(one) for one in self.cleaned_data["kinds"]]

    @classmethod
    def of(cls, wish: Any) -> "ReminderForm":
        return cls(initial={"kinds": wish.kinds, "at": wish.at})
