"""What a person reads for a rule's features and for the short names of sources."""

from collections.abc import Iterable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.feature_words import Feature

FEATURE_WORDS: dict[str, str | Promise] = {
    Feature.ONSET: _("First off centre"),
    Feature.PATTERN: _("Pattern"),
    Feature.LOAD: _("Empty or loaded"),
    Feature.TRAVEL: _("Timed against the splice"),
    Feature.DIRECTION: _("Running both ways"),
    Feature.CONVEYOR: _("The conveyor has"),
    Feature.REMARKS: _("Somebody says"),
}
SEARCH_KIND_WORDS: dict[str, str | Promise] = {
    "cause": _("cause"),
    "method": _("work method"),
    "rule": _("rule"),
    "case": _("past case"),
    "note": _("note from the field"),
}
# Short names as the knowledge files use them.
SOURCES: dict[str, str | Promise] = {
    "TM-A": _("US Army TM 5-3895-374-24-2, pages 620-621, belt training"),
    "TM-B": _("US Army TM 5-3820-233-12/1 and /2, belt tension and belt training"),
    "CEMA-D": _("CEMA installation standard for belt conveyors, appendix D; guide values"),
    "RMA": _("Rubber Manufacturers Association; definition restated in trade texts"),
    "belt mechanics": _("computed: the belt as a tensioned beam on rolls that grip it"),
    "engineering judgement": _("our own, to be calibrated on confirmed causes"),
}


def sources_named(texts: Iterable[str]) -> list[tuple[str, str | Promise]]:
    """Short names that stand in any of the texts, with what they stand for."""
    together = " ".join(texts)
    return [(short, words) for short, words in SOURCES.items() if short in together]
