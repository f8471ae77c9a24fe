"""Where an order comes from; knows no table."""

from enum import StrEnum


class Origin(StrEnum):
    CAUSE = "cause"
    FINDING = "finding"
    RULE = "rule"
    REPLACEMENT = "replacement"
    HAND = "hand"


# What stands for no accepted cause yet: work on a suspicion, or on what a close look showed.
SUGGESTIONS = frozenset({Origin.FINDING, Origin.RULE})
