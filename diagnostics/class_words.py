"""What a person reads for a class of causes; one place, so that every page says the same."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.vocabulary import CauseClass

CLASS_WORDS: dict[CauseClass, str | Promise] = {
    CauseClass.CARRYING: _("Carrying idlers and structure"),
    CauseClass.LOADING: _("Loading"),
    CauseClass.TAIL_PULLEY: _("Tail pulley"),
    CauseClass.HEAD_PULLEY: _("Head pulley"),
    CauseClass.BEND_PULLEY: _("Bend, snub and drive pulleys of the return run"),
    CauseClass.TAKE_UP: _("Take-up"),
    CauseClass.RETURN_IDLER: _("Return idlers"),
    CauseClass.BELT_SPLICE: _("Splice"),
    CauseClass.BELT_SECTION: _("Belt"),
    CauseClass.SURROUNDINGS: _("What rubs, blows on, wets or slackens the belt"),
}


def class_words(cause_class: CauseClass | str) -> str | Promise:
    """Words for a class given as itself or by its wire word; an unknown wire word as it is."""
    try:
        return CLASS_WORDS[CauseClass(cause_class)]
    except ValueError:
        return cause_class
