"""What a person reads before walking along a running belt."""

from diagnostics.selectors import shelf

# Those of the catalogue that concern looking, the most important first.
WALKING = (
    "stay-outside-guards",
    "never-reach-in",
    "isolate-lock-try",
    "stand-clear-start-stop",
    "falling-material",
    "slippery",
    "tell-someone",
    "local-rules",
)


def walking_cautions(plant_id: int) -> list[str]:
    """Their sentences; every caution there is when the catalogue knows none of these."""
    known = shelf.shown_library_of(plant_id).knowledge.cautions
    return [known[slug] for slug in WALKING if slug in known] or list(known.values())
