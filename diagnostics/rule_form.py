"""A rule as a form: what must be seen as boxes, and how strongly it speaks about each cause."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.class_words import CLASS_WORDS
from diagnostics.edition_forms import SLUGS, PlainTextField, why_field
from diagnostics.inference.causes import Cause
from diagnostics.inference.feature_words import WORDS, Feature
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.knowledge_comparison import Entry, Kind
from diagnostics.knowledge_schema import LARGEST_RATIO
from diagnostics.knowledge_words import FEATURE_WORDS

OWN = "own"
STRENGTHS = (
    ("", _("says nothing of it")),
    ("8", _("strongly for: 8")),
    ("4", _("clearly for: 4")),
    ("2", _("slightly for: 2")),
    ("1", _("neither way: 1")),
    ("0.5", _("slightly against: 1/2")),
    ("0.25", _("clearly against: 1/4")),
    ("0.125", _("strongly against: 1/8")),
    (OWN, _("own figure:")),
)
_BY_RATIO = {float(value): value for value, _words in STRENGTHS if value not in ("", OWN)}


@dataclass(frozen=True)
class Row:
    """A cause, or all of a family, with its two fields.

    Drawn by the page itself: widgets take a template for each of some eight hundred options.
    """

    words: Any
    strength: forms.BoundField
    figure: forms.BoundField

    @property
    def chosen(self) -> str:
        return str(self.strength.value() or "")

    @property
    def figure_typed(self) -> Any:
        return self.figure.value() if self.figure.value() is not None else ""

    @property
    def is_said(self) -> bool:
        return bool(self.chosen or self.strength.errors or self.figure.errors)


@dataclass(frozen=True)
class Family:
    words: Any
    rows: list[Row]

    @property
    def said(self) -> list[Row]:
        return [row for row in self.rows if row.is_said]

    @property
    def others(self) -> list[Row]:
        return [row for row in self.rows if not row.is_said]


class RuleForm(forms.Form):
    """`entry` is the rule as it stands, None for a new one; `causes` those of the draft."""

    slug = forms.CharField(
        label=_("short name"),
        max_length=60,
        validators=[SLUGS[Kind.RULE]],
        help_text=_("For lists and files, such as row-past-skirts; it stays as it is."),
    )
    says = PlainTextField(
        label=_("what it says"), max_length=1200, widget=forms.Textarea(attrs={"rows": 3})
    )
    source = forms.CharField(
        label=_("source"),
        max_length=1200,
        help_text=_("Where it comes from; “our own cases” is a source too."),
    )
    why = why_field()
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, entry: Entry | None, causes: Mapping[str, Cause], **kwargs: Any
    ) -> None:
        self.entry = entry
        self.causes = causes
        kwargs["initial"] = {**_initial(entry), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        if entry is not None:
            del self.fields["slug"]
        for feature, words in WORDS.items():
            self.fields[f"when-{feature}"] = forms.MultipleChoiceField(
                label=str(FEATURE_WORDS[feature]),
                required=False,
                choices=[(word, _(word)) for word in sorted(words)],
                widget=forms.CheckboxSelectMultiple,
            )
        for key in self._keys():
            self.fields[f"strength-{key}"] = forms.ChoiceField(required=False, choices=STRENGTHS)
            self.fields[f"figure-{key}"] = forms.FloatField(required=False)

    def _keys(self) -> list[str]:
        return [
            *(f"class-{one.value}" for one in CauseClass),
            *(f"cause-{slug}" for slug in self.causes),
        ]

    @property
    def strengths(self) -> Any:
        return STRENGTHS

    @property
    def features(self) -> list[forms.BoundField]:
        return [self[f"when-{feature}"] for feature in Feature]

    @property
    def families(self) -> list[Family]:
        return [
            Family(
                CLASS_WORDS[one],
                [
                    self._row(_("all of them not named below"), f"class-{one.value}"),
                    *(
                        self._row(cause.name, f"cause-{cause.slug}")
                        for cause in self.causes.values()
                        if cause.cause_class is one
                    ),
                ],
            )
            for one in CauseClass
        ]

    def _row(self, words: Any, key: str) -> Row:
        return Row(words, self[f"strength-{key}"], self[f"figure-{key}"])

    def clean(self) -> dict[str, Any] | None:
        filled = super().clean()
        seen = [f"when-{feature}" for feature in Feature]
        if not any(self.cleaned_data.get(one) or one in self.errors for one in seen):
            self.add_error(None, _("Say what must be seen: tick at least one word."))
        ratios = {key: self._ratio(key) for key in self._keys()}
        self.ratios = {key: ratio for key, ratio in ratios.items() if ratio is not None}
        if not self.ratios and not self.errors:
            self.add_error(None, _("Say which causes it speaks for or against."))
        return filled

    def _ratio(self, key: str) -> float | None:
        """The figure counts only where no word was chosen instead."""
        word = self.cleaned_data.get(f"strength-{key}", "")
        figure = self.cleaned_data.get(f"figure-{key}")
        if word not in ("", OWN):
            return float(word)
        if figure is None:
            if word == OWN and f"figure-{key}" not in self.errors:
                self.add_error(f"figure-{key}", _("Give the figure, or choose a word."))
            return None
        if not 0 < figure <= LARGEST_RATIO:
            limits = {"most": LARGEST_RATIO}
            text = _("More than 0 and at most %(most)g; below 1 it speaks against.")
            self.add_error(f"figure-{key}", text % limits)
            return None
        return float(figure)

    def rule(self) -> dict[str, Any]:
        """The entry as filled in; call when valid."""
        filled = self.cleaned_data
        when = {str(feature): self._words(feature) for feature in Feature}
        return {
            "slug": filled["slug"] if self.entry is None else self.entry["slug"],
            "says": filled["says"],
            "when": {feature: words for feature, words in when.items() if words},
            "speaks": self._speaks(),
            "source": filled["source"],
            "version": 1 if self.entry is None else self.entry["version"],
        }

    def _words(self, feature: Feature) -> list[str]:
        """Those it had before first, so that a form sent as it came changes nothing."""
        ticked = self.cleaned_data[f"when-{feature}"]
        before = self.entry["when"].get(feature, []) if self.entry else []
        return sorted(ticked, key=lambda one: before.index(one) if one in before else len(before))

    def _speaks(self) -> list[dict[str, Any]]:
        """In the order in which the rule named them before, then in that of the catalogue."""
        before = [_key(one) for one in (self.entry["speaks"] if self.entry else ())]
        keys = [one for one in before if one in self.ratios]
        keys += [one for one in self.ratios if one not in before]
        return [_spoken(key, self.ratios[key]) for key in keys]


def _initial(entry: Entry | None) -> dict[str, Any]:
    if entry is None:
        return {}
    found: dict[str, Any] = {"says": entry["says"], "source": entry["source"]}
    found |= {f"when-{feature}": words for feature, words in entry["when"].items()}
    for one in entry["speaks"]:
        word = _BY_RATIO.get(float(one["ratio"]), OWN)
        found[f"strength-{_key(one)}"] = word
        if word == OWN:
            found[f"figure-{_key(one)}"] = one["ratio"]
    return found


def _key(speaks: Mapping[str, Any]) -> str:
    return f"cause-{speaks['cause']}" if "cause" in speaks else f"class-{speaks['class']}"


def _spoken(key: str, ratio: float) -> dict[str, Any]:
    kind, _hyphen, name = key.partition("-")
    return {kind: name, "ratio": int(ratio) if ratio.is_integer() else ratio}
