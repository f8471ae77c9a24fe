"""Words on a drawing without one on top of another: the first free place wins, or none."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from plant.loop.drawing.shapes import Shape, words

# Widths as shares of the letter size, for common sans faces; wide enough that a word never runs
# into its neighbour.
_CAPITAL = 0.7
_LETTER = 0.56


@dataclass(frozen=True)
class Box:
    """A rectangle, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def around(self, other: "Box") -> "Box":
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


@dataclass(frozen=True)
class Seat:
    """A place where a word may stand: its anchor point, y upward."""

    x: float
    y: float
    anchor: str = "middle"


def text_width(text: str, size: float) -> float:
    return size * sum(_CAPITAL if letter.isupper() else _LETTER for letter in text)


def text_box(text: str, seat: Seat, size: float) -> Box:
    """The room a word takes; its baseline stands at the seat, y downward from here on."""
    width = text_width(text, size)
    left = {"start": seat.x, "middle": seat.x - width / 2, "end": seat.x - width}[seat.anchor]
    baseline = -seat.y
    return Box(left, baseline - 0.8 * size, left + width, baseline + 0.22 * size)


@dataclass
class Labels:
    """Keeps what is taken and hands out places inside the drawing's width."""

    left: float
    right: float
    taken: list[Box] = field(default_factory=list)

    def take(self, box: Box) -> None:
        self.taken.append(box)

    def is_free(self, box: Box) -> bool:
        return not any(box.meets(other) for other in self.taken)

    def met_by(self, box: Box) -> int:
        """How much of what is taken it would stand on."""
        return sum(box.meets(other) for other in self.taken)

    def put(self, look: str, text: str, seats: Iterable[Seat], size: float) -> Shape | None:
        """The word at the first free seat; None when there is none."""
        for seat in seats:
            box = text_box(text, seat, size)
            inside = self.left <= box.left and box.right <= self.right
            if inside and self.is_free(box):
                self.take(box)
                return words(look, seat.x, -seat.y, text, seat.anchor)
        return None
