"""What is filled in at the belt after the work: a line for each station and load state, turns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.degree_words import DEGREE_WORDS
from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from plant.loop.vocabulary import Side
from plant.models import Conveyor
from plant.templatetags.sheet import side_words
from workorders.forms import VersionForm
from workorders.models import ProofLook
from workorders.proof_rules import LEAST_REVOLUTIONS, Watched
from workorders.services.proof_watching import NewLook, Seen

LOAD_WORDS: dict[LoadState, str | Promise] = {
    LoadState.EMPTY: _("empty"),
    LoadState.LOADED: _("loaded"),
}
_FARTHEST_MM = 2000
_PERSISTENCE = [
    ("", _("steady or not said")),
    (Persistence.COMES_AND_GOES.value, _("comes and goes")),
    (Persistence.NO_PATTERN.value, _("no pattern")),
]


class ProofForm(VersionForm):
    """The verdict; empty while only what was seen is kept.

    That the cautions were read is asked each time: what was seen may become a walk-down, which
    says so of whoever went.
    """

    cautions_read = forms.BooleanField(
        label=_("I have read the cautions above and keep to the site's rules")
    )

    outcome = forms.ChoiceField(
        label=_("the belt"),
        required=False,
        choices=[
            ("passed", _("runs true: the proof run passed")),
            ("failed", _("is still off centre: the proof run failed")),
        ],
        widget=forms.RadioSelect,
    )
    revolutions_empty = forms.IntegerField(
        label=_("turns of the belt watched empty"), min_value=0, max_value=100_000, initial=0
    )
    revolutions_loaded = forms.IntegerField(
        label=_("turns of the belt watched loaded"), min_value=0, max_value=100_000, initial=0
    )
    note = forms.CharField(
        label=_("what was seen"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Needed when it failed, or when it passes although the looks say otherwise."),
    )
    # Set by the button that keeps what was seen without a verdict.
    is_kept_only = False

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if self.is_kept_only:
            return filled
        outcome = filled.get("outcome")
        if not outcome:
            self.add_error("outcome", _("Say whether it passed, or only keep what you have seen."))
        if outcome == "failed" and not filled.get("note", "").strip():
            self.add_error("note", _("Say what the belt did, so that the next look starts there."))
        if outcome == "passed":
            self._check_turns(filled)
        return filled

    def _check_turns(self, filled: Mapping[str, Any]) -> None:
        for name in ("revolutions_empty", "revolutions_loaded"):
            if filled.get(name) is not None and filled[name] < LEAST_REVOLUTIONS:
                self.add_error(
                    name,
                    _("A proof run that passes takes at least %(least)d turns.")
                    % {"least": LEAST_REVOLUTIONS},
                )

    def seen(self, looks: Sequence[NewLook]) -> Seen:
        return Seen(
            tuple(looks),
            self.cleaned_data["revolutions_empty"],
            self.cleaned_data["revolutions_loaded"],
            self.cleaned_data["note"],
        )


class LookForm(forms.Form):
    """One station in one load state; left empty it was not watched yet."""

    where = forms.ChoiceField(label=_("seen"), required=False)
    offset_mm = forms.FloatField(
        label=_("mm off, if measured"), required=False, min_value=0, max_value=_FARTHEST_MM
    )
    persistence = forms.ChoiceField(label=_("how it stays"), required=False, choices=_PERSISTENCE)

    def __init__(self, *args: Any, conveyor: Conveyor, **named: Any) -> None:
        super().__init__(*args, **named)
        self.fields["where"].choices = _choices(conveyor)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        where, offset_mm = filled.get("where", ""), filled.get("offset_mm")
        if offset_mm and "where" in filled and ":" not in where:
            self.add_error("where", _("Say to which side it is off by so many millimetres."))
        return filled

    def look(self, station: str, load: LoadState) -> NewLook | None:
        where = self.cleaned_data["where"]
        if not where:
            return None
        persistence = self.cleaned_data["persistence"]
        degree, _colon, side = where.partition(":")
        offset_mm = self.cleaned_data["offset_mm"]
        if not side:
            return NewLook(station, load, degree=Degree.CENTRED)
        kept = Persistence(persistence) if persistence else None
        if offset_mm is not None:
            signed = Side(side).sign * offset_mm
            return NewLook(station, load, offset_mm=signed, persistence=kept)
        return NewLook(station, load, None, Degree(degree), Side(side), kept)


@dataclass(frozen=True)
class LookLine:
    """`was_mm` is how far it was off before, positive right; None: not known. [mm]"""

    watched: Watched
    load: LoadState
    form: LookForm
    was_mm: float | None

    @property
    def load_words(self) -> str | Promise:
        return LOAD_WORDS[self.load]

    @property
    def has_more(self) -> bool:
        """Whether more than where was said, or something of it is wrong."""
        more = ("offset_mm", "persistence")
        return any(self.form[name].value() or self.form[name].errors for name in more)


def look_lines(
    conveyor: Conveyor,
    watched: Sequence[Watched],
    kept: Sequence[ProofLook],
    data: Mapping[str, Any] | None = None,
) -> list[LookLine]:
    """Empty first, as it is run; bound when data was sent."""
    known = {(one.station, one.load): one for one in kept}
    return [
        LookLine(
            one,
            load,
            LookForm(
                data,
                conveyor=conveyor,
                prefix=f"{load.value}-{number}",
                initial=_initial(known.get((one.station, load.value)), conveyor),
            ),
            None if one.was_share is None else one.was_share * conveyor.clearance_mm,
        )
        for load in LoadState
        for number, one in enumerate(watched)
    ]


def looks_filled(lines: Sequence[LookLine]) -> list[NewLook]:
    """Of valid lines; those left empty say nothing."""
    found = [line.form.look(line.watched.station, line.load) for line in lines]
    return [one for one in found if one is not None]


def _choices(conveyor: Conveyor) -> list[tuple[str, str | Promise]]:
    off = [
        (f"{degree.value}:{side.value}", f"{DEGREE_WORDS[degree]} {side_words(side, conveyor)}")
        for side in Side
        for degree in Degree
        if degree is not Degree.CENTRED
    ]
    centred = (Degree.CENTRED.value, DEGREE_WORDS[Degree.CENTRED])
    return [("", _("not watched yet")), centred, *off]


def _initial(look: ProofLook | None, conveyor: Conveyor) -> dict[str, Any]:
    if look is None:
        return {}
    if look.offset_mm is not None:
        degree = Degree.of(look.offset_mm / conveyor.clearance_mm)
        if degree is Degree.CENTRED:
            # A small measured offset has a side all the same.
            degree = Degree.SLIGHT
        where = f"{degree.value}:{Side.of(look.offset_mm).value}"
        return {
            "where": where,
            "offset_mm": abs(look.offset_mm),
            "persistence": look.persistence,
        }
    where = look.degree if not look.side else f"{look.degree}:{look.side}"
    return {"where": where, "persistence": look.persistence}
