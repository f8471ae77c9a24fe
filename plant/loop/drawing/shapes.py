"""What a drawing of the loop is made of: plain shapes with a class each, no markup."""

from dataclasses import dataclass
from enum import StrEnum


class Form(StrEnum):
    PATH = "path"
    CIRCLE = "circle"
    TEXT = "text"


@dataclass(frozen=True)
class Shape:
    """One stroke, circle or word; `look` is its class in the stylesheet.

    `points` is SVG path data for a path; x and y are the centre of a circle or the anchor of a
    text, in the drawing's own units, y downward.
    """

    form: Form
    look: str
    points: str = ""
    x: float = 0.0
    y: float = 0.0
    radius: float = 0.0
    text: str = ""
    anchor: str = "middle"


@dataclass(frozen=True)
class Place:
    """Shapes that belong together at one place; with `href` a person can go to it.

    `at_m` is its loop position, in whose order a keyboard comes past [m]; `handle` the point, y
    downward, round which a finger meets it.
    """

    shapes: tuple[Shape, ...]
    look: str = ""
    label: str = ""
    href: str = ""
    at_m: float | None = None
    handle: tuple[float, float] | None = None


@dataclass(frozen=True)
class RibbonPoint:
    """One look at the belt: its offset as a share of the clearance, positive to the right."""

    position_m: float
    offset_share: float
    label: str = ""
    href: str = ""


@dataclass(frozen=True)
class Curve:
    """A computed offset along the loop, its points by rising position; labels are written at peaks.

    `is_filled` draws the ground between the line and the middle.
    """

    points: tuple[RibbonPoint, ...]
    is_filled: bool = True


class MarkKind(StrEnum):
    ONSET = "onset"
    SUSPECTED = "suspected"
    CASE = "case"
    WORK = "work"
    SUPPOSED = "supposed"
    REPLACED = "replaced"
    DUE = "due"
    HAPPENED = "happened"
    CAME_BACK = "came-back"


@dataclass(frozen=True)
class Mark:
    """A place somebody should see on the loop; `kind` is a word of MarkKind.

    `label` is written beside it; `says` is read to whoever does not see the drawing, the label
    unless given. `count` is how many things a mark stands for, where that is written in its head.
    """

    position_m: float
    kind: str
    label: str = ""
    href: str = ""
    count: int = 0
    says: str = ""


@dataclass(frozen=True)
class Rider:
    """A splice or a belt mark, at the loop position where it is at the instant drawn.

    `length_m` reaches from there in the direction of travel.
    """

    position_m: float
    name: str
    label: str = ""
    href: str = ""
    is_splice: bool = True
    length_m: float = 0.0


def stroke(look: str, points: str) -> Shape:
    return Shape(Form.PATH, look, points=points)


def circle(look: str, x: float, y: float, radius: float) -> Shape:
    return Shape(Form.CIRCLE, look, x=round(x, 1), y=round(y, 1), radius=round(radius, 1))


def words(look: str, x: float, y: float, text: str, anchor: str = "middle") -> Shape:
    return Shape(Form.TEXT, look, x=round(x, 1), y=round(y, 1), text=text, anchor=anchor)
