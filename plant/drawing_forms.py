"""What is asked of a drawing by its address: a stretch of the loop, and where the belt is."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.loop.belt_places import Instant
from plant.loop.drawing.shown import Stretch
from plant.models import Splice
from plant.templatetags.sheet import metres

_FARTHEST_M = 100_000
_LATEST_S = 100_000


def _metres(label: Any, **more: Any) -> forms.FloatField:
    widget = forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"})
    return forms.FloatField(
        label=label, required=False, min_value=0, max_value=_FARTHEST_M, widget=widget, **more
    )


class DrawingAsked(forms.Form):
    """Two fields go by names of the address that Python keeps for itself: from and to."""

    splice = forms.ChoiceField(label=gettext_lazy("splice"), required=False)
    at = _metres(gettext_lazy("is at loop position [m]"))
    later = forms.FloatField(
        label=gettext_lazy("seconds later"),
        required=False,
        min_value=0,
        max_value=_LATEST_S,
        widget=forms.NumberInput(attrs={"type": "range", "step": "any"}),
    )

    def __init__(
        self, asked: QueryDict, *, length_m: float, turn_s: float, splices: Sequence[Splice]
    ) -> None:
        super().__init__({**asked.dict(), "later": asked.get("later") or "0"})
        self.length_m = length_m
        self.splices = {str(one.pk): one for one in splices}
        names = [(str(one.pk), one.name) for one in splices]
        self.fields["splice"].choices = names  # type: ignore[attr-defined]
        later = self.fields["later"].widget.attrs
        later |= {"min": 0, "max": f"{turn_s:.2f}", "step": f"{max(turn_s / 200, 0.01):.2f}"}
        self.fields["from"] = _metres(gettext_lazy("from [m]"))
        self.fields["to"] = _metres(gettext_lazy("to [m]"))

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        for name in ("from", "to", "at"):
            if (filled.get(name) or 0.0) > self.length_m:
                self.add_error(name, _("The loop is %(length).1f m long.") % self._length)
        ends = [filled.get("from"), filled.get("to")]
        if not self.errors and ends.count(None) == 1:
            missing = "from" if ends[0] is None else "to"
            self.add_error(missing, _("A stretch has two ends."))
        elif not self.errors and ends[0] is not None and ends[0] == ends[1]:
            self.add_error("to", _("This is the other end already: the stretch has no length."))
        return filled

    @property
    def _length(self) -> dict[str, float]:
        return {"length": self.length_m}

    @property
    def stretch(self) -> Stretch | None:
        """The stretch asked for; None is the whole loop."""
        filled = self.cleaned_data if self.is_valid() else {}
        from_m, to_m = filled.get("from"), filled.get("to")
        return None if from_m is None or to_m is None else Stretch(from_m, to_m)

    @property
    def belt_words(self) -> str:
        """The instant in words: the splice it is told by, where that is, how much later."""
        filled = self.cleaned_data if self.is_valid() else {}
        chosen = self.splices.get(filled.get("splice") or "") or self._reference
        instant = self.instant
        told = {
            "splice": chosen.name if chosen else "",
            "at": metres(instant.loop_position_m),
            "later": f"{instant.later_s:.1f}",
        }
        if instant.later_s:
            return _("%(splice)s at %(at)s, %(later)s s later") % told
        return _("%(splice)s at %(at)s") % told

    @property
    def instant(self) -> Instant:
        """Where the belt is; unasked, with its reference splice at the tail."""
        filled = self.cleaned_data if self.is_valid() else {}
        splice = self.splices.get(filled.get("splice") or "") or self._reference
        return Instant(
            splice.belt_position_m if splice else 0.0,
            filled.get("at") or 0.0,
            filled.get("later") or 0.0,
        )

    @property
    def _reference(self) -> Splice | None:
        """The splice that is first on the belt: belt positions count from it."""
        return min(self.splices.values(), key=lambda one: one.belt_position_m, default=None)
