"""The suggested next step in the reader's language: what to do, and a sentence why."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics.class_words import class_words
from diagnostics.inference.work_methods import WorkMethod
from diagnostics.recurrence.next_steps import Reason, Step, Suggestion

PRACTICE = gettext_lazy("common practice, no source")
STEP_WORDS: dict[Step, str | Promise] = {
    Step.OTHER_MEND: gettext_lazy("Another mend"),
    Step.REVIEW: gettext_lazy("Engineering review of the place"),
    Step.INSPECT_KIND: gettext_lazy("Inspect all of the kind"),
    Step.FIND_CAUSE: gettext_lazy("Walk it, with a timed look"),
    Step.CHECK_MEND: gettext_lazy("Check the last mend"),
    Step.NOTE_HOURS: gettext_lazy("Note the lost hours"),
    Step.KEEP_WATCH: gettext_lazy("Keep watch"),
}


def step_words(one: Suggestion, methods: Mapping[str, WorkMethod]) -> str:
    """What to do, with the mend or the kind by name."""
    if one.step is Step.OTHER_MEND:
        return _("Another mend: %(name)s") % {"name": method_name(one.instead, methods)}
    if one.step is Step.INSPECT_KIND and one.family:
        told = {"step": STEP_WORDS[one.step], "family": class_words(one.family)}
        return _("%(step)s: %(family)s") % told
    return str(STEP_WORDS[one.step])


def reason_words(one: Suggestion, methods: Mapping[str, WorkMethod]) -> str:
    """Why, in one sentence with the figures of this belt."""
    words = _of_mends(one) or _of_causes(one) or _of_record(one)
    told = {
        "n": one.count,
        "of": one.of,
        "family": class_words(one.family),
        "method": method_name(one.method, methods),
    }
    return words % told


def method_name(slug: str, methods: Mapping[str, WorkMethod]) -> str:
    """As the plant's knowledge calls it; an old order may name a method that was dropped."""
    if not slug:
        return _("work without a method")
    return methods[slug].name if slug in methods else slug.replace("-", " ")


def _of_mends(one: Suggestion) -> str:
    match one.reason:
        case Reason.SAME_MEND_FAILED:
            return _(
                "The same mend (%(method)s) failed %(n)d times; a further time it would most "
                "likely fail again."
            )
        case Reason.NO_MEND_LEFT:
            return _(
                "The same mend (%(method)s) failed %(n)d times, and the knowledge of the plant "
                "names no other one for this family."
            )
        case Reason.SAME_PLACE:
            return _(
                "%(n)d different mends failed and it came back at the same place: something at "
                "that place is not what the register says."
            )
        case Reason.OTHER_PLACES:
            return _(
                "%(n)d different mends failed and it came back at another place: the mends hold, "
                "but more of the same kind are wearing out."
            )
        case Reason.DIFFERENT_MENDS:
            return _(
                "%(n)d different mends failed, so the cause may lie deeper than what was mended."
            )
        case Reason.FAILED_ONCE:
            return ngettext(
                "A mend did not hold; see whether it was done as meant before it is done again.",
                "%(n)d mends did not hold; see whether they were done as meant before they are "
                "done again.",
                one.count,
            )
    return ""


def _of_causes(one: Suggestion) -> str:
    match one.reason:
        case Reason.CAUSES_IN_TURN:
            return _(
                "%(n)d cause families took turns in %(of)d cases and none leads: the belt line as "
                "a whole may be out of true."
            )
        case Reason.CAUSES_UNKNOWN:
            return _(
                "In %(n)d of %(of)d cases nobody found the cause, so nobody knows what to mend."
            )
        case Reason.RISING:
            return _(
                "Its cases come closer together and %(n)d of %(of)d have one cause family: where "
                "one part wore out, its neighbours of the same age follow."
            )
        case Reason.RISING_PART:
            return _(
                "Its cases come closer together and %(n)d of %(of)d have one cause family: what is "
                "mended there does not last, and an engineer should ask why."
            )
    return ""


def _of_record(one: Suggestion) -> str:
    if one.reason is Reason.HOURS_UNSAID:
        return _(
            "For %(n)d of %(of)d cases nobody said the lost hours, so this belt may stand too low."
        )
    return ngettext(
        "%(n)d case says too little to point at anything.",
        "Nothing in its %(n)d cases points at more than mending each as it comes.",
        one.count,
    )
