"""Lives as they were seen: ages, whether each ended in a failure, and how many of a kind.

A life that did not end in a failure counts as at least that long (right-censored). Whoever fails
at an age is counted before whoever is taken out at the same age.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

# Ages this near to each other, as a share, are one age written twice: rounding, no spread.
SAME_AGE = 1e-9


@dataclass(frozen=True)
class Lives:
    """Lives put together by age.

    Attributes
    ----------
    ages : tuple of float
        Distinct, rising, > 0, finite. [any one unit]
    failures, taken_out : tuple of int
        Lives that ended in a failure at that age, and those that were not seen to end.
    """

    ages: tuple[float, ...]
    failures: tuple[int, ...]
    taken_out: tuple[int, ...]

    @classmethod
    def of(cls, seen: Iterable[tuple[float, bool, int]]) -> Self:
        """Lives from (age, failed, count) in any order; equal ages are put together.

        Raises
        ------
        ValueError
            If an age is not finite and above 0, or a count below 1.
        """
        failures: dict[float, int] = {}
        taken_out: dict[float, int] = {}
        for age, failed, count in seen:
            if not 0 < age < float("inf"):
                raise ValueError(f"age must be finite and > 0, got {age!r}")
            if count < 1:
                raise ValueError(f"count must be at least 1, got {count!r}")
            of_kind = failures if failed else taken_out
            of_kind[age] = of_kind.get(age, 0) + count
        ages = sorted(failures.keys() | taken_out.keys())
        return cls(
            tuple(ages),
            tuple(failures.get(age, 0) for age in ages),
            tuple(taken_out.get(age, 0) for age in ages),
        )

    @cached_property
    def count(self) -> int:
        return sum(self.failures) + sum(self.taken_out)

    @cached_property
    def failure_count(self) -> int:
        return sum(self.failures)

    @cached_property
    def failure_ages(self) -> tuple[float, ...]:
        """Distinct ages at which something failed, rising."""
        pairs = zip(self.ages, self.failures, strict=True)
        return tuple(age for age, failed in pairs if failed)

    @cached_property
    def fail_at_different_ages(self) -> bool:
        """Whether failures lie far enough apart to say how lives spread."""
        ages = self.failure_ages
        return len(ages) > 1 and math.log(ages[-1]) - math.log(ages[0]) > SAME_AGE

    def as_arrays(self) -> tuple[Numbers, Numbers, Numbers]:
        """Ages, failures, lives at each age (failed or not), as floats."""
        ages, failures = np.array(self.ages, float), np.array(self.failures, float)
        return ages, failures, failures + np.array(self.taken_out, float)
