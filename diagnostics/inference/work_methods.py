"""A work method: the template of steps, tools, parts and cautions a work order starts from."""

from dataclasses import dataclass


@dataclass(frozen=True)
class MethodStep:
    """`hours` is elapsed time; `skill` the crew skill it asks for, empty when anybody's."""

    what: str
    hours: float
    skill: str = ""


@dataclass(frozen=True)
class WorkMethod:
    """How one kind of mend is done.

    Attributes
    ----------
    hours : float
        Elapsed time of all steps together. [h]
    people : int
        How many are needed at a time.
    cautions : tuple of str
        Slugs of cautions, the most important first.
    proof : str
        What to look at after the work.
    """

    slug: str
    name: str
    steps: tuple[MethodStep, ...]
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    hours: float
    people: int
    needs_isolation: bool
    cautions: tuple[str, ...]
    proof: str
    source: str
