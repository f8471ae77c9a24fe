"""The small picture of a belt's course: one mark a case, stretch by stretch, on a ruled line.

Drawn as attributes of SVG alone; the words beside it say the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

HEIGHT = 30
_STEP = 9
_LINE_Y = 26.5
# Up to so many, each case has a mark of its own; above, the marks close to a bar.
_MOST_MARKS = 6
_ROOM = 23.0


@dataclass(frozen=True)
class Stem:
    """From the line up to `top`, dashed so that marks can be counted."""

    x: float
    top: float
    dashes: str


@dataclass(frozen=True)
class Sparkline:
    width: int
    stems: tuple[Stem, ...]
    ticks: tuple[float, ...]
    words: str
    height: int = HEIGHT
    line_y: float = _LINE_Y
    stem_y: float = _LINE_Y - 0.8


def sparkline(course: Sequence[int]) -> Sparkline:
    """The course of one belt, the earliest stretch first; its tallest stem fills the height."""
    most = max(course, default=0)
    # A single case is not drawn as tall as six.
    mark = _ROOM / max(most, 4)
    dashes = f"{mark - 1.2:.2f} 1.2" if most <= _MOST_MARKS else ""
    middles = [_STEP * number + _STEP / 2 for number in range(len(course))]
    return Sparkline(
        width=max(_STEP * len(course), _STEP),
        stems=tuple(
            Stem(x, round(_LINE_Y - 0.8 - mark * count + (1.2 if dashes else 0), 2), dashes)
            for x, count in zip(middles, course, strict=True)
            if count
        ),
        ticks=tuple(middles),
        words=_words(course),
    )


def _words(course: Sequence[int]) -> str:
    told = {"n": len(course), "counts": ", ".join(map(str, course))}
    return _("Cases in %(n)s equal stretches of the period, the earliest first: %(counts)s") % told
