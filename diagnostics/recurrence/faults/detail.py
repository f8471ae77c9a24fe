"""The rest of what a page tells of one belt, as it is kept beside its figures."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any


@dataclass(frozen=True)
class FailedMend:
    """A mend that did not hold.

    `earlier` is the case that it was done for and `case` the one that came back, of cause family
    `family`, on the day `back_on` (ISO) in the plant's zone; `days_held` counts from the passed
    proof run, None when there was none; `order` is empty when no done work is known. `method` is
    the slug of the work method, `is_same_place` None where a place is not known.
    """

    case: str
    earlier: str
    back_on: str
    family: str = ""
    days_held: int | None = None
    order: str = ""
    title: str = ""
    method: str = ""
    is_same_place: bool | None = None


@dataclass(frozen=True)
class TriedMend:
    """A work method done for cases of the leading family: how often, and how often they came back.

    Not all cases of very many are looked at, but the latest ones.
    """

    method: str
    title: str
    times: int
    came_back: int


@dataclass(frozen=True)
class Gap:
    """A stretch without known exposure, both instants in ISO with their zone."""

    first: str
    last: str


@dataclass(frozen=True)
class BeltDetail:
    """Kept as JSON in `BeltFaults.detail`.

    Attributes
    ----------
    counted, left_out : int
        Cases of known exposure, which the rate is made of, and those that are not.
    laplace_u, laplace_p, shape_lower, shape_upper : float or None
        A second opinion on the trend, and limits of its shape.
    families, zones : tuple of (word, cases)
        Most cases first; "" is not known.
    failed : tuple of FailedMend
        Of all families, the earliest first; not all of very many.
    mends : tuple of TriedMend
        For the leading family, the most often done first.
    watched_from, watched_until : str
        Days (ISO) from and to which it was watched, where they differ from the period's.
    why_unknown : str
        A code; why exposure of `unknown_days` is not known.
    gaps : tuple of Gap
        Such stretches, the longest first; not all of very many.
    """

    counted: int = 0
    left_out: int = 0
    laplace_u: float | None = None
    laplace_p: float | None = None
    shape_lower: float | None = None
    shape_upper: float | None = None
    families: tuple[tuple[str, int], ...] = ()
    zones: tuple[tuple[str, int], ...] = ()
    failed: tuple[FailedMend, ...] = ()
    mends: tuple[TriedMend, ...] = ()
    watched_from: str = ""
    watched_until: str = ""
    why_unknown: str = ""
    gaps: tuple[Gap, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def of_json(cls, written: Mapping[str, Any]) -> "BeltDetail":
        """What `as_json` wrote; fields it does not know are left out, missing ones are empty."""
        found = {one.name: written[one.name] for one in fields(cls) if one.name in written}
        for name in ("families", "zones"):
            found[name] = tuple((word, cases) for word, cases in found.get(name, ()))
        found["failed"] = tuple(FailedMend(**one) for one in found.get("failed", ()))
        found["mends"] = tuple(TriedMend(**one) for one in found.get("mends", ()))
        found["gaps"] = tuple(Gap(**one) for one in found.get("gaps", ()))
        return cls(**found)

    @property
    def last_failed(self) -> FailedMend | None:
        return self.failed[-1] if self.failed else None

    @property
    def different_mends(self) -> int:
        """Work methods tried for the leading family."""
        return len(self.mends)
