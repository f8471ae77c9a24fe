"""What a change of windows and crews breaks, found by making it and looking; asked about first.

The change is made inside a transaction, the plan read before and after it. When work that fitted no
longer does, or two windows of a conveyor now overlap, and the person has not seen that, everything
is rolled back and asked. Nothing is simulated a second time, so the question cannot differ from the
deed.
"""

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import sha256

from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Plant
from workorders.models import OutageWindow
from workorders.planning.outages.clashes import Clash
from workorders.selectors.outages import broken
from workorders.selectors.outages.broken import Unfit
from workorders.selectors.outages.overlaps import Overlap, overlaps_of

# As far as windows are made ahead, with room for the last of them.
_AHEAD = timedelta(days=400)


@dataclass(frozen=True)
class Consequences:
    """`clashes` are new ones only; `unfit` says them in words; `overlaps` are pairs of windows."""

    clashes: tuple[Clash, ...] = ()
    unfit: tuple[Unfit, ...] = ()
    overlaps: tuple[Overlap, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.clashes or self.overlaps)

    @property
    def mark(self) -> str:
        """What a person says to have seen; another one when anything of it is different."""
        said = [f"{one.kind} {one.job} {one.other} {one.minutes}" for one in self.clashes]
        # Not by the rows' keys: what is asked about is rolled back and made anew.
        said += [f"{one.first} {one.second} {one.starts_at} {one.tags}" for one in self.overlaps]
        return sha256("\n".join(sorted(said)).encode()).hexdigest()[:32]


class AsksFirst(DomainError):
    """Not refused, but to be confirmed: send `consequences.mark` along to have it kept."""

    code = "asks_first"

    def __init__(self, consequences: Consequences) -> None:
        self.consequences = consequences
        super().__init__(
            _("Nothing is kept yet: look at what this changes, then say that you want it so.")
        )


@dataclass
class Weighed:
    """`windows` are those the change put somewhere; overlaps are looked for among them."""

    windows: list[OutageWindow] = field(default_factory=list)


@contextmanager
def weighed(plant: Plant, *, seen: str | None, now: datetime) -> Iterator[Weighed]:
    """Around a change, inside its transaction; `seen` None: nobody is there to be asked.

    Refuses with AsksFirst unless `seen` is the mark of what the change brings.
    """
    made = Weighed()
    if seen is None:
        yield made
        return
    until = now + _AHEAD
    before = broken.look(plant, now, until, now).clashes
    yield made
    after = broken.look(plant, now, until, now)
    clashes = _new(before, after.clashes)
    found = Consequences(
        clashes, tuple(broken.told(after, clashes)), tuple(overlaps_of(made.windows))
    )
    if found and found.mark != seen:
        raise AsksFirst(found)


def _new(before: Collection[Clash], after: Collection[Clash]) -> tuple[Clash, ...]:
    """What was not there, or is worse than it was."""
    stood = {(one.kind, one.job, one.other): one.minutes for one in before}
    return tuple(
        one for one in after if stood.get((one.kind, one.job, one.other), -1) < one.minutes
    )
