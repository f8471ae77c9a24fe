"""The heights of a carrying run, typed or pasted: a line for each point, distance and height."""

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.loop.profile import MOST_POINTS, ProfileError, profile_of, profile_of_levels
from plant.register_files.figures import Marks, figure_of, marks_of
from plant.register_files.refusals import CellRefused

_ALONG, _ACROSS = "along", "across"
_MOST_LETTERS = 20_000
_COLUMNS = re.compile(r"[\t;|]")
_SAYS: dict[str, str | Promise] = {
    "too_few": gettext_lazy("Two points are the least: the tail and the head."),
    "too_many": gettext_lazy("Line %(row)d: %(most)d points are the most. Leave some out."),
    "position_off_the_run": gettext_lazy(
        "Line %(row)d: the distance counts from the tail on, from 0 m."
    ),
    "height_off_the_earth": gettext_lazy("Line %(row)d: no height is like that."),
    "not_in_order": gettext_lazy(
        "Line %(row)d: its distance must be larger than that of the line before."
    ),
    "steeper_than_upright": gettext_lazy(
        "Line %(row)d: the height changes by more than the belt is long there. Were the distances "
        "measured horizontally?"
    ),
}


class HeightsField(forms.CharField):
    """Pairs of figures; where a line cannot be read the answer names it."""

    widget = forms.Textarea(attrs={"rows": 12, "spellcheck": "false", "class": "pasted"})

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, list):
            return value
        return "\n".join("\t".join(map(_plain, pair)) for pair in value)

    def to_python(self, value: Any) -> Any:
        lines = [
            (row, line.strip())
            for row, line in enumerate((super().to_python(value) or "").splitlines(), start=1)
        ]
        filled = [(row, line) for row, line in lines if line]
        # A table's first line names its columns.
        if filled and not any(letter.isdigit() for letter in filled[0][1]):
            filled = filled[1:]
        marks = marks_of(cell for _row, line in filled for cell in _cells(line))
        return [_pair(row, line, marks) for row, line in filled]


def _plain(figure: float) -> str:
    return f"{figure:.3f}".rstrip("0").rstrip(".")


def _cells(line: str) -> list[str]:
    parts = _COLUMNS.split(line) if _COLUMNS.search(line) else line.split()
    return [part.strip() for part in parts if part.strip() and part.strip().casefold() != "m"]


def _pair(row: int, line: str, marks: Marks) -> tuple[float, float]:
    try:
        figures = [figure_of(cell, marks) for cell in _cells(line)]
    except CellRefused:
        figures = []
    if len(figures) != 2 or any(one.unit.casefold() not in ("", "m") for one in figures):
        raise forms.ValidationError(
            _("Line %(row)d: “%(line)s” is not a distance and a height, such as 120,5 and 14,25."),
            params={"row": row, "line": line[:40]},
        )
    return figures[0].value, figures[1].value


class HeightsForm(forms.Form):
    """`profile` is cleaned to pairs of loop position and height, or to nothing."""

    profile = HeightsField(
        label=gettext_lazy("distance from the tail [m] and height [m], a line for each point"),
        required=False,
        max_length=_MOST_LETTERS,
        help_text=gettext_lazy(
            "Two columns of a spreadsheet can be pasted as they are, with decimal comma or point. "
            "Heights count from any level of the plant. Empty: the heights are not known."
        ),
    )
    measured = forms.ChoiceField(
        label=gettext_lazy("how the distances were measured"),
        choices=[
            (_ALONG, gettext_lazy("along the belt")),
            (_ACROSS, gettext_lazy("horizontally, as on a plan or by a survey")),
        ],
        initial=_ALONG,
        widget=forms.RadioSelect,
    )

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        pairs: Sequence[tuple[float, float]] = filled.get("profile") or []
        if self.errors or not pairs:
            return filled
        build = profile_of_levels if filled["measured"] == _ACROSS else profile_of
        try:
            points = build(pairs).points
        except ProfileError as error:
            what = {"row": error.row, "most": MOST_POINTS}
            self.add_error("profile", str(_SAYS[error.code]) % what)
            return filled
        filled["profile"] = [[one.position_m, one.height_m] for one in points]
        return filled
