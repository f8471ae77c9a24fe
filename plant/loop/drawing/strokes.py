"""Path data of lines on the drawing; here y is turned downward, once."""

from collections.abc import Iterable

from plant.loop.drawing.side_path import Arc, Piece


def point(x: float, y: float) -> str:
    return f"{x:.1f} {0.0 - y:.1f}"


def line(points: Iterable[tuple[float, float]], *, closed: bool = False) -> str:
    data = "L".join(point(x, y) for x, y in points)
    return f"M{data}Z" if closed else f"M{data}"


def belt(pieces: Iterable[Piece]) -> str:
    """The closed line of the belt, with true arcs on the pulleys."""
    data: list[str] = []
    for piece in pieces:
        start, end = piece.at(0.0), piece.at(1.0)
        if not data:
            data.append(f"M{point(start.x, start.y)}")
        if isinstance(piece, Arc) and piece.sweep_rad:
            large = 1 if abs(piece.sweep_rad) > 3.14159 else 0
            radius, way = piece.wheel.radius, 1 if piece.sweep_rad < 0 else 0
            data.append(f"A{radius:.1f} {radius:.1f} 0 {large} {way} {point(end.x, end.y)}")
        else:
            data.append(f"L{point(end.x, end.y)}")
    return "".join(data) + "Z"


def dots(points: Iterable[tuple[float, float]]) -> str:
    """Strokes of no length: round line ends make dots of them."""
    return "".join(f"M{point(x, y)}h0" for x, y in points)
