"""How much time there is, and shares of it."""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

Clock = Callable[[], float]


@dataclass(frozen=True)
class Watch:
    """Until when there is time; `clock` counts seconds."""

    until_s: float
    clock: Clock = time.monotonic

    @property
    def left_s(self) -> float:
        return max(0.0, self.until_s - self.clock())

    def within(self, share: float) -> "Watch":
        """For a share of what is left."""
        return replace(self, until_s=self.clock() + share * self.left_s)
