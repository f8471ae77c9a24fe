"""The ways from one view of a drawing to the next: larger, smaller, along, zone by zone."""

from dataclasses import dataclass

from django.http import QueryDict
from django.utils.functional import Promise

from plant.loop.drawing.shown import Stretch
from plant.loop.path import Loop
from plant.loop.vocabulary import Zone
from plant.loop.zones import stretches
from plant.words import ZONE_WORDS

# A zone is shown with a little of its neighbours. [m]
_AROUND_M = 1.5


@dataclass(frozen=True)
class ZoneWay:
    words: str | Promise
    href: str
    is_here: bool


@dataclass(frozen=True)
class DrawingWays:
    """Addresses; empty where there is no such way."""

    whole: str
    larger: str
    smaller: str
    back: str
    on: str
    zones: tuple[ZoneWay, ...]


def ways_of(loop: Loop, stretch: Stretch | None, asked: QueryDict) -> DrawingWays:
    """`asked` is the address's own question; what it asks besides the stretch is kept."""

    def to(wanted: Stretch | None) -> str:
        return _address(asked, wanted)

    length_m = loop.length_m
    zones = tuple(
        ZoneWay(ZONE_WORDS[zone], to(found), found == _shown(stretch))
        for zone, found in _zone_stretches(loop)
    )
    if stretch is None:
        # From the whole one comes to the middle of the carrying run.
        middle = Stretch(0.25 * loop.head_m, 0.75 * loop.head_m)
        return DrawingWays("", to(middle), "", "", "", zones)
    return DrawingWays(
        whole=to(None),
        larger=to(stretch.resized(0.5, length_m)),
        smaller=to(stretch.resized(2.0, length_m)),
        back=to(stretch.moved(-0.5, length_m)),
        on=to(stretch.moved(0.5, length_m)),
        zones=zones,
    )


def _zone_stretches(loop: Loop) -> list[tuple[Zone, Stretch]]:
    """One for each zone's stretch; the tail's two, before and after the seam, are one."""
    found = []
    pieces = stretches(loop)
    is_split = len(pieces) > 1 and pieces[0].zone is pieces[-1].zone
    for piece in pieces[:-1] if is_split else pieces:
        start_m = pieces[-1].start_m if is_split and piece is pieces[0] else piece.start_m
        from_m, to_m = (start_m - _AROUND_M) % loop.length_m, piece.end_m + _AROUND_M
        found.append((piece.zone, _rounded(Stretch(from_m, to_m % loop.length_m))))
    return found


def _shown(stretch: Stretch | None) -> Stretch | None:
    return _rounded(stretch) if stretch else None


def _rounded(stretch: Stretch) -> Stretch:
    return Stretch(round(stretch.from_m, 1), round(stretch.to_m, 1))


def _address(asked: QueryDict, stretch: Stretch | None) -> str:
    kept = asked.copy()
    for name in ("from", "to"):
        kept.pop(name, None)
    if stretch is not None:
        tidy = _rounded(stretch)
        kept["from"], kept["to"] = f"{tidy.from_m:g}", f"{tidy.to_m:g}"
    return f"?{kept.urlencode()}"
