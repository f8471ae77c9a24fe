"""A picture as a page of text for a person: the ribbon with its stations down the page."""

import textwrap
from collections.abc import Iterable

from diagnostics.inference.what_if.answer import Asked, Shown
from diagnostics.inference.what_if.picture import Picture, SeenAt
from plant.loop.vocabulary import Side

_WIDTH = 96
# Characters of the ribbon on either side of the centre line.
_HALF = 18
_NAME = 14


def page_of(case: str | int | None, shown: Shown) -> str:
    """Heading, a ribbon for each load state, what to look for, notes."""
    asked = shown.asked
    lines = [f"What if: {asked.cause.name}", "=" * 40]
    lines += _said(_fault(asked))
    lines += _said(f"Conveyor {asked.conveyor.tag}{'' if case is None else f' of case {case}'}.")
    for picture in shown.pictures:
        lines += ["", *_ribbon(shown, picture)]
    lines += ["", "Look for:", *_bullets(shown.look_for)]
    lines += ["", "Notes:", *_bullets(shown.notes)]
    return "\n".join(lines) + "\n"


def _fault(asked: Asked) -> str:
    standing, side = asked.standing, asked.conveyor.side_in_words(asked.side)
    size = f"{asked.size_figure} {asked.measure.unit} ({asked.measure.what})"
    if asked.travels:
        return (
            f"At belt position {asked.belt_position_m or 0:g} m, just now passing "
            f"{standing.position_m:.1f} m; {size}; drives the belt to the {side}. "
            f"Pattern: {asked.cause.pattern}."
        )
    bows = (
        ""
        if asked.bows_to is None
        else f"; the structure bows to the {asked.conveyor.side_in_words(asked.bows_to)}"
    )
    return (
        f"At {standing.component or 'the tail'}, {standing.position_m:.1f} m, on the "
        f"{standing.run} run; {size}; drives the belt to the {side}{bows}. "
        f"Pattern: {asked.cause.pattern}."
    )


def _ribbon(shown: Shown, picture: Picture) -> list[str]:
    place = shown.asked.standing.component
    clearance = f"{picture.clearance_mm:g} mm"
    scale = f"{'left ' + clearance:<{_HALF}}|{'right ' + clearance:>{_HALF}}"
    return [
        *textwrap.wrap(f"{picture.load.value.capitalize()}: {_summary(picture)}", _WIDTH),
        f"{'station':<{_NAME}} {'m':>9}  {scale}",
        *(_row(one, picture, place) for one in picture.seen_at(shown.stations)),
    ]


def _summary(picture: Picture) -> str:
    """The peak, where the belt is first off centre, and how far the fault reaches."""
    size_mm = abs(picture.peak_mm)
    side = f" {Side.of(picture.peak_mm)}" if round(size_mm) else ""
    said = [f"largest {size_mm:.0f} mm{side} at {picture.peak_m:.1f} m"]
    if picture.off_centre is not None:
        off = picture.off_centre
        said.append(f"off centre from {off.from_m:.1f} to {off.to_m:.1f} m")
    before, behind = picture.reach_upstream_m, picture.reach_downstream_m
    if before is not None and behind is not None:
        said.append(f"half as far off {before:.1f} m before the place and {behind:.1f} m behind it")
    return "; ".join(said) + "."


def _row(seen: SeenAt, picture: Picture, place: str) -> str:
    share = seen.offset_mm / picture.clearance_mm
    length = min(round(abs(share) * _HALF), _HALF)
    left = ("#" * length if share < 0 else "").rjust(_HALF)
    right = ("#" * length if share > 0 else "").ljust(_HALF)
    words = seen.degree.value if seen.side is None else f"{seen.degree.value} {seen.side.value}"
    name = seen.station.name
    here = "  <- fault" if place and name == place else ""
    name = name if len(name) <= _NAME else name[: _NAME - 1] + "~"
    return (
        f"{name:<{_NAME}} {seen.station.position_m:>9.1f}  {left}|{right} "
        f"{abs(seen.offset_mm):>4.0f} mm  {words}{here}"
    )


def _bullets(sentences: Iterable[str]) -> list[str]:
    return [line for one in sentences for line in _said(one, bullet="* ")]


def _said(text: str, *, bullet: str = "") -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent="   " + bullet,
        subsequent_indent="   " + " " * len(bullet),
    )
