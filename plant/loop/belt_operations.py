"""What people do to a belt, each as one value that says what becomes of the belting."""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar, Protocol

from plant.loop.belt_life import (
    Belting,
    CannotBe,
    Turn,
    count_from,
    cut_out,
    put_in,
    splice_at,
    turned,
)


class WorkKind(StrEnum):
    FITTED = "fitted"
    SPLICED = "spliced"
    REFERENCE = "reference moved"
    CUT_OUT = "section cut out"
    PUT_IN = "section put in"
    TURNED = "turned"
    TAKEN_OFF = "taken off"
    PUT_BACK = "put back"


class Operation(Protocol):
    """`of` refuses with CannotBe; names of new splices are their keys."""

    @property
    def kind(self) -> WorkKind: ...

    def of(self, belting: Belting) -> Belting: ...


@dataclass(frozen=True)
class NewSplice:
    kind: ClassVar[WorkKind] = WorkKind.SPLICED
    at_m: float
    name: str

    def of(self, belting: Belting) -> Belting:
        return splice_at(belting, self.at_m, self.name)


@dataclass(frozen=True)
class NewReference:
    """`splice` is the key of the splice from which positions are to count."""

    kind: ClassVar[WorkKind] = WorkKind.REFERENCE
    splice: int

    def of(self, belting: Belting) -> Belting:
        found = next((one for one in belting.joints if one.key == self.splice), None)
        if found is None:
            raise CannotBe("no_splice_there", "splice")
        return count_from(belting, found.position_m)


@dataclass(frozen=True)
class CutOut:
    kind: ClassVar[WorkKind] = WorkKind.CUT_OUT
    from_m: float
    to_m: float
    name: str

    def of(self, belting: Belting) -> Belting:
        return cut_out(belting, self.from_m, self.to_m, self.name)


@dataclass(frozen=True)
class PutIn:
    """`name` may be empty where a splice is opened: that one stays the first of the two."""

    kind: ClassVar[WorkKind] = WorkKind.PUT_IN
    at_m: float
    length_m: float
    name: str
    second_name: str

    def of(self, belting: Belting) -> Belting:
        longer = put_in(belting, self.at_m, self.length_m, self.name, self.second_name)
        if not self.name and belting.joint_at(self.at_m) is None:
            raise CannotBe("name_needed", "name")
        return longer


@dataclass(frozen=True)
class TurnOver:
    kind: ClassVar[WorkKind] = WorkKind.TURNED
    how: Turn

    def of(self, belting: Belting) -> Belting:
        return turned(belting, self.how)
