"""What is said about a reckoning of recurring faults: its notes, and why there is nothing newer."""

from collections.abc import Iterable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from diagnostics.recurrence.faults.notes import About, Note

_REFUSALS: dict[str, str | Promise] = {
    "stopped": _("It was stopped. What stood before stands."),
    "begun_too_often": _(
        "It was begun three times and never ended. Ask for it again; if that does not help, the "
        "server's log says more."
    ),
    "failed": _("It failed. Ask for it again; if that does not help, the server's log says more."),
}
# Why nothing is known of a belt's exposure, by the code in its detail.
_WHY_UNKNOWN: dict[str, str | Promise] = {
    "no_readings": _("Its meter was never read."),
    "before_first": _("Its meter was first read later."),
    "after_last": _("Its meter has not been read since."),
    "not_read": _("Its meter was replaced without being read."),
    "not_watched": _("The register did not have it then, or had it no more."),
}


def refusal_words(code: str) -> str:
    return str(_REFUSALS.get(code, code))


def why_unknown_words(code: str) -> str:
    return str(_WHY_UNKNOWN.get(code, code))


def notes_words(notes: Iterable[Note]) -> list[str]:
    """A sentence for each note, in the reader's language."""
    return [_note_words(note) for note in notes]


def _note_words(note: Note) -> str:
    words = _counted(note.about, note.count)
    return (words or str(_PLAIN[note.about])) % {"n": note.count}


def _counted(about: About, n: int) -> str:
    match about:
        case About.NO_EXPOSURE:
            return ngettext(
                "Of %(n)d belt no exposure is known: its cases are counted, but it has no rate.",
                "Of %(n)d belts no exposure is known: their cases are counted, but they have no "
                "rate.",
                n,
            )
        case About.IN_GAPS:
            return ngettext(
                "%(n)d case lies where the exposure is not known; rates and tests leave it out.",
                "%(n)d cases lie where the exposure is not known; rates and tests leave them out.",
                n,
            )
        case About.BEFORE_WATCH:
            return ngettext(
                "%(n)d case was opened before its belt was watched, or began the watch; rates and "
                "tests leave it out.",
                "%(n)d cases were opened before their belts were watched, or began the watch; "
                "rates and tests leave them out.",
                n,
            )
        case About.AFTER_WATCH:
            return ngettext(
                "%(n)d case was opened after its belt was retired; rates and tests leave it out.",
                "%(n)d cases were opened after their belts were retired; rates and tests leave "
                "them out.",
                n,
            )
        case About.SAME_INSTANT:
            return ngettext(
                "%(n)d case was opened at the same instant as another of its belt; both count. If "
                "they are one, move its complaints to the other and cancel it.",
                "%(n)d cases were opened at the same instant as another of their belt; each "
                "counts. Of those that are one, move the complaints together and cancel the rest.",
                n,
            )
        case About.FEW_BELTS:
            return ngettext(
                "With %(n)d belt the limits are narrower than they claim; from 30 on they hold.",
                "With %(n)d belts the limits are narrower than they claim; from 30 on they hold.",
                n,
            )
        case _:
            return ""


_PLAIN: dict[About, str | Promise] = {
    About.NO_EVENTS: _("There were no cases in the period."),
    About.ONE_BELT: _(
        "One belt has no other to be compared with: the course has no robust limits."
    ),
    About.NO_PRIOR_FEW: _(
        "With fewer than three belts there is nothing to draw a rate toward: each is given the "
        "rate of all together."
    ),
    About.NO_PRIOR_ALIKE: _(
        "The belts differ no more than chance would make them: each is given the rate of all "
        "together, and none is held worse than the others."
    ),
    About.USUAL_OF_FAIR: _(
        "Half of the belts or more had no case: the usual rate is the median of the fair rates."
    ),
}
