"""How the cases of a plant ended, counted: all that base rates need to know of them."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class CaseCounts:
    """How many cases ended with what.

    Attributes
    ----------
    confirmed : mapping of str to int
        Cases by the slug of the cause that a person accepted.
    unnamed : mapping of frozenset of str to int
        Cases that ended without a cause, by the slugs that were refuted; at least one each.
    """

    confirmed: Mapping[str, int] = field(default_factory=dict)
    unnamed: Mapping[frozenset[str], int] = field(default_factory=dict)

    def without(self, slug: str) -> "CaseCounts":
        """The same less one confirmed case.

        Raises
        ------
        ValueError
            If no case with this cause was counted.
        """
        if self.confirmed.get(slug, 0) < 1:
            raise ValueError(f"no confirmed case of {slug} is counted")
        return CaseCounts({**self.confirmed, slug: self.confirmed[slug] - 1}, self.unnamed)


@dataclass(frozen=True)
class PlantCounts:
    """The plant's cases, and of these the cases of each conveyor, by the conveyor's key."""

    plant: CaseCounts = field(default_factory=CaseCounts)
    conveyors: Mapping[int, CaseCounts] = field(default_factory=dict)

    def own(self, conveyor: int) -> CaseCounts:
        return self.conveyors.get(conveyor, CaseCounts())

    def without(self, slug: str, conveyor: int) -> tuple[CaseCounts, CaseCounts]:
        """Counts of the plant and of the conveyor less one confirmed case of that conveyor."""
        return self.plant.without(slug), self.own(conveyor).without(slug)

    @classmethod
    def of(
        cls,
        confirmed: Iterable[tuple[int, str, int]],
        unnamed: Iterable[tuple[int, frozenset[str], int]] = (),
    ) -> "PlantCounts":
        """From (conveyor, accepted cause, cases) and (conveyor, refuted causes, cases)."""
        named: dict[int, Counter[str]] = defaultdict(Counter)
        others: dict[int, Counter[frozenset[str]]] = defaultdict(Counter)
        for conveyor, slug, cases in confirmed:
            named[conveyor][slug] += cases
        for conveyor, refuted, cases in unnamed:
            others[conveyor][refuted] += cases
        return cls(
            CaseCounts(sum(named.values(), Counter()), sum(others.values(), Counter())),
            {one: CaseCounts(named[one], others[one]) for one in {*named, *others}},
        )
