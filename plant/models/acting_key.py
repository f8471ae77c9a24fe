"""Which other system acts, for rows that keep who did something."""

from pghistory import runtime

LONGEST = 60


def acting_key_name() -> str:
    """The name of the key that acts, as `plant.acting` was told it; empty when none does.

    A default of columns: whatever a key's request writes names it, however deep that happens.
    """
    # The library tells its triggers and nobody else what it knows of the request.
    known = getattr(runtime._tracker, "value", None)
    if known is None or "key" not in known.metadata:
        return ""
    return str(known.metadata["name"])[:LONGEST]
