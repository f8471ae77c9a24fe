"""Windows of one conveyor that share time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from workorders.models import OutageWindow

# More than this nobody reads before they press.
MOST_TOLD = 20


@dataclass(frozen=True)
class Overlap:
    """`first` is the window that was put there, `second` the one it meets."""

    first_id: int
    first: str
    second_id: int
    second: str
    starts_at: datetime
    ends_at: datetime
    tags: tuple[str, ...]


def overlaps_of(windows: Sequence[OutageWindow]) -> list[Overlap]:
    """Of saved standing windows of one plant with any other; two queries whatever their number."""
    standing = [one for one in windows if one.called_off_at is None]
    if not standing:
        return []
    begins, ends = min(w.starts_at for w in standing), max(w.ends_at for w in standing)
    others = list(
        OutageWindow.objects.standing()
        .filter(plant_id=standing[0].plant_id, starts_at__lt=ends, ends_at__gt=begins)
        .prefetch_related("conveyors")
        .order_by("starts_at", "pk")
    )
    fresh = {one.pk for one in standing}
    found: list[Overlap] = []
    for first, second in _meeting(others):
        if first.pk in fresh or second.pk in fresh:
            ours, theirs = (first, second) if first.pk in fresh else (second, first)
            if tags := _shared(ours, theirs):
                found.append(_overlap(ours, theirs, tags))
        if len(found) >= MOST_TOLD:
            break
    return found


def _meeting(windows: Sequence[OutageWindow]) -> Iterator[tuple[OutageWindow, OutageWindow]]:
    """Pairs that share time, of windows in the order of their begin."""
    open_ones: list[OutageWindow] = []
    for window in windows:
        open_ones = [one for one in open_ones if one.ends_at > window.starts_at]
        yield from ((one, window) for one in open_ones)
        open_ones.append(window)


def _shared(one: OutageWindow, other: OutageWindow) -> tuple[str, ...]:
    tags = {conveyor.tag for conveyor in one.conveyors.all()}
    return tuple(sorted(tags & {conveyor.tag for conveyor in other.conveyors.all()}))


def _overlap(ours: OutageWindow, theirs: OutageWindow, tags: tuple[str, ...]) -> Overlap:
    return Overlap(
        first_id=ours.pk,
        first=ours.name,
        second_id=theirs.pk,
        second=theirs.name,
        starts_at=max(ours.starts_at, theirs.starts_at),
        ends_at=min(ours.ends_at, theirs.ends_at),
        tags=tags,
    )
