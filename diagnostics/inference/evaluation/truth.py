"""Cases whose causes are known: what `truth` of a case file says, read and checked.

`truth` is an array of one or two causes. A case without it, a class that is not known, a place off
the loop: each refuses the file with the case and the field.
"""

from dataclasses import dataclass

from diagnostics.inference.case_file.document import named_cases, read_evidence
from diagnostics.inference.case_file.fields import CaseFileError, Field
from diagnostics.inference.case_file.looks import read_position
from diagnostics.inference.evidence import ConveyorFacts, Evidence
from diagnostics.inference.ranking import BOWED
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Side

MOST_CAUSES = 2
# Belt positions are noted to a tenth of a metre and may thereby pass the end of the belt. [m]
_ROUNDED_M = 1.0


@dataclass(frozen=True)
class TrueCause:
    """What was really wrong.

    Attributes
    ----------
    cause_class : CauseClass
    cause : str or None
        Slug of the cause.
    position_m : float or None
        Loop position, for what stands in place. [m]
    belt_position_m : float or None
        For what travels: from the reference splice in the direction of travel. [m]
    side : Side or None
        As the file words it; of a bowed structure the side to which it bows.
    peak_effect_mm : float or None
        Largest change of the belt's offset that the cause makes. [mm]
    """

    cause_class: CauseClass
    cause: str | None = None
    position_m: float | None = None
    belt_position_m: float | None = None
    side: Side | None = None
    peak_effect_mm: float | None = None

    @property
    def driven_side(self) -> Side | None:
        """To which the belt is driven: away from a bow, for it cuts the corner."""
        if self.side is None or self.cause != BOWED:
            return self.side
        return self.side.opposite


@dataclass(frozen=True)
class KnownCase:
    """One case with its truth; `name` is its id, or its index from 0 when it has none."""

    name: str | int
    evidence: Evidence
    truth: tuple[TrueCause, ...]


def read_known_cases(content: bytes) -> tuple[KnownCase, ...]:
    """Read a whole case file with its truth, or refuse it.

    Parameters
    ----------
    content : bytes
        The file as it is stored, UTF-8 with or without a byte order mark.

    Returns
    -------
    tuple of KnownCase
        In the order of the file, at least one.

    Raises
    ------
    CaseFileError
        One line that names the case, the field and the accepted form.
    """
    return tuple(_known_case(name, case) for name, case in named_cases(content))


def _known_case(name: str | int, case: Field) -> KnownCase:
    evidence = read_evidence(name, case)
    field = case.maybe("truth")
    if field.value is None:
        raise CaseFileError(
            f"{field.place}: is missing; only cases whose causes are known can be judged."
        )
    if not isinstance(field.value, list) or not 1 <= len(field.value) <= MOST_CAUSES:
        raise field.refuse(f"an array of one to {MOST_CAUSES} causes")
    return KnownCase(
        name, evidence, tuple(_true_cause(row, evidence.conveyor) for row in field.rows())
    )


def _true_cause(row: Field, conveyor: ConveyorFacts) -> TrueCause:
    cause = row.maybe("cause")
    position = row.maybe("position_m")
    most_m = conveyor.belt.length_m + _ROUNDED_M
    return TrueCause(
        cause_class=row.entry("class").word(CauseClass),
        cause=None if cause.value is None else cause.text(),
        position_m=None if position.value is None else read_position(position, conveyor.loop),
        belt_position_m=row.maybe("belt_position_m").number_or_none(-most_m, most_m),
        side=row.maybe("side").word_or_none(Side),
        peak_effect_mm=row.maybe("peak_effect_mm").number_or_none(0),
    )
