"""A timed look as its page shows it: read anew with the register as it stands."""

from dataclasses import dataclass

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.watching.reading import WatchReading, read_watch
from diagnostics.inference.watching.sentences import sentences_of
from diagnostics.models import TimedLook
from diagnostics.selectors.evidence import facts_of
from diagnostics.selectors.timed_evidence import fact_of
from plant.loop.parts import GeometryError


@dataclass(frozen=True)
class LookRead:
    """A timed look as it reads with the register as it stands; `missing` while that is incomplete.

    `said` has the answer first; `reading` and `conveyor` are None while something is missing.
    """

    said: tuple[str, ...]
    reading: WatchReading | None
    conveyor: ConveyorFacts | None
    missing: str = ""


def read_look(row: TimedLook) -> LookRead:
    """What a look says on its case's conveyor."""
    try:
        conveyor = facts_of(row.case.conveyor)
    except GeometryError as error:
        return LookRead((), None, None, str(error))
    look = fact_of(row)
    reading = read_watch(look, conveyor.belt, conveyor.speed_mps)
    return LookRead(sentences_of(reading, look, conveyor), reading, conveyor)
