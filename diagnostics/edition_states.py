"""What may become of an edition of knowledge."""

from enum import StrEnum


class EditionState(StrEnum):
    DRAFT = "draft"
    IN_FORCE = "in force"
    # Was in force until another followed.
    EARLIER = "earlier"
    DISCARDED = "discarded"
