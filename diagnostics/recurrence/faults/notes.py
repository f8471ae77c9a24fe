"""What must be said about the figures of a plant, as codes; the words stand where a language is."""

from dataclasses import dataclass
from enum import StrEnum


class About(StrEnum):
    """What a note says; its count stands in brackets."""

    # (belts) No exposure is known of them, so they have no rate.
    NO_EXPOSURE = "no exposure"
    # (events) Left out of rates and tests: the exposure at their time is not known.
    IN_GAPS = "in gaps"
    # (events) Left out: the belt was not watched yet.
    BEFORE_WATCH = "before watch"
    # (events) Left out: the belt was watched no more.
    AFTER_WATCH = "after watch"
    # (events) At the same instant as another one of the same belt; each counts.
    SAME_INSTANT = "same instant"
    NO_EVENTS = "no events"
    # Robust limits compare belts with each other.
    ONE_BELT = "one belt"
    # (belts) So few that the limits are somewhat too narrow.
    FEW_BELTS = "few belts"
    # (belts) Too few for a prior.
    NO_PRIOR_FEW = "no prior few"
    # The belts differ no more than chance would make them: each has the pooled rate.
    NO_PRIOR_ALIKE = "no prior alike"
    # Half of the belts had no event: the usual rate is the median of the fair rates.
    USUAL_OF_FAIR = "usual of fair"


@dataclass(frozen=True)
class Note:
    about: About
    count: int = 0

    def as_json(self) -> list[str | int]:
        return [self.about.value, self.count]
