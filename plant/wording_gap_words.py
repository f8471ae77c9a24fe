"""What people read about what a wording leaves open."""

from collections.abc import Iterable
from typing import NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from plant.selectors.wording_checks import VocabularyChecked
from plant.wording.checking import Gap, GapKind
from plant.wording.refusals import TAGS
from plant.wording_words import part_words


class GapTold(NamedTuple):
    """`vocabulary` says where it is mended; empty for asset tags."""

    vocabulary: str
    title: str | Promise
    words: str


def told_of(vocabularies: Iterable[VocabularyChecked], twice: Iterable[Gap]) -> list[GapTold]:
    """One line each: those of words, then those of tags."""
    told = [
        GapTold(one.vocabulary.name, one.vocabulary.title, gap_words(gap))
        for one in vocabularies
        for gap in one.gaps
    ]
    return told + [GapTold("", part_words(TAGS), gap_words(gap)) for gap in twice]


def gap_words(gap: Gap) -> str:
    told = {"word": gap.word, "others": ", ".join(gap.others)}
    if gap.kind is GapKind.MISSING:
        return _("%(word)s has no word.") % told
    if gap.kind is GapKind.MISLEADING:
        return _("%(word)s has no word and goes out as it is, which means %(others)s there.") % told
    if gap.kind is GapKind.AMBIGUOUS:
        return _("%(word)s stands for %(others)s; say which is meant when it comes in.") % told
    if gap.kind is GapKind.GONE:
        return _("%(word)s is no word of Loopwright any more; its %(others)s is unused.") % told
    return _("The tag %(word)s was given to %(others)s.") % told
