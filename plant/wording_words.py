"""What people and programs read when a word has no answer in a system's wording."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant import wording_shelf
from plant.wording.refusals import TAGS, Why, WordRefused


def part_words(part: str) -> str | Promise:
    """A vocabulary, or the asset tags, as people call them."""
    if part == TAGS:
        return gettext_lazy("Asset tags")
    vocabulary = wording_shelf.vocabulary(part)
    return part if vocabulary is None else vocabulary.title


def refusal_words(refused: WordRefused) -> str:
    """What is wrong with the word, what would be taken, which of that is nearest."""
    told = {
        "word": refused.word,
        "part": part_words(refused.part),
        "accepted": refused.named,
        "nearest": refused.nearest or "",
    }
    if refused.why is Why.MISSING:
        return _("%(word)s has no word in this system (%(part)s). Give it one, and go on.") % told
    if refused.why is Why.TWICE:
        return _("This is given twice: as %(word)s and under Loopwright's name.") % told
    if refused.why is Why.AMBIGUOUS:
        return (
            _("%(word)s stands for several: %(accepted)s. Say in the words of the system which.")
            % told
        )
    said = _("%(word)s is no word of this system (%(part)s).") % told
    if refused.nearest:
        said += " " + _("Nearest: %(nearest)s.") % told
    return f"{said} " + _("Accepted: %(accepted)s.") % told if refused.accepted else said
