"""Changes of an order in words; a kind with nothing to look up needs only its sentence here."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from workorders import raising_words
from workorders.models import OrderChange
from workorders.order_states import Waiting
from workorders.order_words import URGENCY_WORDS, WAITING_WORDS
from workorders.urgency import Urgency

_Kind = OrderChange.Kind
_EDITED_WORDS: dict[str, str | Promise] = {
    "title": gettext_lazy("title"),
    "hours": gettext_lazy("hours"),
    "people": gettext_lazy("people"),
    "due_on": gettext_lazy("due date"),
    "earliest_on": gettext_lazy("not before"),
    "tools": gettext_lazy("tools"),
    "parts": gettext_lazy("parts"),
    "external_number": gettext_lazy("number in the other system"),
    "steps": gettext_lazy("steps"),
}
# Filled with what the change keeps as `before` and `after`.
_SENTENCES: dict[str, str | Promise] = {
    _Kind.PLANNED_FOR: gettext_lazy("planned for another time"),
    _Kind.STEP_UNTICKED: gettext_lazy("step %(after)s not done after all"),
    _Kind.LINKED: gettext_lazy("%(before)s waits for %(after)s"),
    _Kind.UNLINKED: gettext_lazy("%(before)s need not wait for %(after)s"),
    _Kind.SPLIT: gettext_lazy("part of it split off into %(after)s"),
    _Kind.SPLIT_OFF: gettext_lazy("split off from %(before)s"),
    _Kind.MERGED: gettext_lazy("%(before)s merged into %(after)s"),
    _Kind.UNMERGED: gettext_lazy("%(before)s is no longer part of %(after)s"),
    _Kind.NOTE_CORRECTED: gettext_lazy("note corrected"),
    _Kind.NOTE_TAKEN_BACK: gettext_lazy("note taken back"),
    _Kind.NOTE_PUT_BACK: gettext_lazy("note put back"),
    _Kind.PHOTO_TAKEN_BACK: gettext_lazy("photo taken back: %(after)s"),
    _Kind.PHOTO_PUT_BACK: gettext_lazy("photo put back: %(after)s"),
    _Kind.TIME_CORRECTED: gettext_lazy("booked time corrected: from %(before)s to %(after)s"),
    _Kind.TIME_TAKEN_BACK: gettext_lazy("booked time taken back: %(after)s"),
    _Kind.ADOPTED: gettext_lazy("stands for the accepted cause"),
    _Kind.TIME_PUT_BACK: gettext_lazy("booked time put back: %(after)s"),
}


def words_of(change: OrderChange) -> str:
    sentence = _SENTENCES.get(change.kind)
    if sentence is not None:
        return str(sentence) % {"before": change.before, "after": change.after}
    of_raising = raising_words.words_of(change)
    if of_raising:
        return of_raising
    match change.kind:
        case _Kind.WAITING:
            return _("waits for %(what)s") % {"what": WAITING_WORDS[Waiting(change.after)]}
        case _Kind.NO_LONGER_WAITING:
            return _("waits no longer for %(what)s") % {
                "what": WAITING_WORDS[Waiting(change.before)]
            }
        case _Kind.URGENCY:
            return _("urgency from %(before)s to %(after)s") % {
                "before": URGENCY_WORDS[Urgency(change.before)],
                "after": URGENCY_WORDS[Urgency(change.after)],
            }
    names = [str(_EDITED_WORDS.get(name, name)) for name in change.after.split(", ")]
    return _("put right: %(fields)s") % {"fields": ", ".join(names)}
