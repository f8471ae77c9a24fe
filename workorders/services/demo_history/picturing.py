"""Photos of an invented case: drawn here, so that no picture of a real plant is needed."""

import io
import math
import uuid
from collections.abc import Callable
from datetime import timedelta

from PIL import Image, ImageDraw, ImageFont

from diagnostics.models import Finding
from diagnostics.services import photos
from diagnostics.services.photos import About, SentPhoto
from plant.loop.vocabulary import Side
from workorders.services.demo_history.response import TrueCause

_WIDTH, _HEIGHT = 1200, 900
_PAPER, _INK, _STEEL, _RUBBER = "#d9d4c6", "#23282d", "#7d8790", "#3a3a3a"
_RUST = "#8a4b2a"
_NAMESPACE = uuid.UUID("5d0b3c0e-6c52-4d3b-9c35-7a4f6d1f2a10")
# The ropes of a take-up carriage, from its middle. [px]
_ROPE_APART = 330
_USUAL_MM = 60.0

Drawn = Callable[[ImageDraw.ImageDraw, float, float], None]


def photograph(finding: Finding, true: TrueCause) -> None:
    """Photos of what a close look found, for the causes that can be drawn."""
    for number, (caption, draw) in enumerate(_DRAWN.get(true.cause, ())):
        name = f"{finding.case.number} {number}"
        taken_at = finding.found_at - timedelta(minutes=3 - number)
        content = _picture(draw, 1 if true.side is Side.RIGHT else -1, true.size_mm)
        sent = SentPhoto(uuid.uuid5(_NAMESPACE, name), content, taken_at=taken_at)
        photos.take_photos(
            case_id=finding.case_id,
            sent=[sent],
            about=About(finding=finding, place=finding.place, caption=caption),
            by=finding.found_by,
            now=finding.found_at,
        )


def drawn(cause: str, size_mm: float = _USUAL_MM) -> list[tuple[str, bytes]]:
    """What each picture of a cause shows, and its bytes; the trouble is to the right, or mended."""
    return [(caption, _picture(draw, 1, size_mm)) for caption, draw in _DRAWN.get(cause, ())]


def _picture(draw: Drawn, sign: float, size_mm: float) -> bytes:
    """`sign` is 1 when the trouble is to the right, as the picture has it."""
    image = Image.new("RGB", (_WIDTH, _HEIGHT), _PAPER)
    pen = ImageDraw.Draw(image)
    draw(pen, sign, size_mm)
    words = "invented, drawn"
    pen.text((20, _HEIGHT - 44), words, fill=_INK, font=ImageFont.load_default(26))
    written = io.BytesIO()
    image.save(written, "JPEG", quality=90)
    return written.getvalue()


def _carriage(pen: ImageDraw.ImageDraw, sign: float, _size_mm: float) -> None:
    """Between its guides, low at the side of the long rope."""
    middle, level, drop = _WIDTH / 2, 560.0, 46.0
    for side in (-1, 1):
        at = middle + side * (_ROPE_APART + 110)
        pen.rectangle((at - 26, 40, at + 26, _HEIGHT - 70), fill=_STEEL, outline=_INK, width=4)
    ends = [(middle + side * _ROPE_APART, level + sign * side * drop) for side in (-1, 1)]
    for side, (x, y) in zip((-1, 1), ends, strict=True):
        slack = 34.0 if side == sign else 0.0
        rope = [(x + slack * math.sin(math.pi * at / 20), y * at / 20) for at in range(21)]
        pen.line(rope, fill=_RUST, width=12, joint="curve")
    pen.line(ends, fill=_STEEL, width=190)
    pen.line(ends, fill=_RUBBER, width=150)
    pen.line([(x - 70 * (x < middle) + 70 * (x > middle), y) for x, y in ends], fill=_INK, width=34)


def _clips(pen: ImageDraw.ImageDraw, sign: float, size_mm: float) -> None:
    """Both ropes where they are held; the mark on one has slipped."""
    apart = 230
    for side in (-1, 1):
        x = _WIDTH / 2 + side * apart
        pen.line((x, 0, x, _HEIGHT - 90), fill=_RUST, width=34)
        for turn in range(0, _HEIGHT - 90, 26):
            pen.line((x - 17, turn + 18, x + 17, turn), fill=_INK, width=3)
        top = 330 + (150 if side == sign else 0)
        for clip in range(3):
            box = (x - 62, top + clip * 105, x + 62, top + clip * 105 + 62)
            pen.rounded_rectangle(box, 12, fill=_STEEL, outline=_INK, width=4)
    long_x = _WIDTH / 2 + sign * apart
    reach = (long_x + sign * 110, long_x + sign * 190)
    for y in (330, 480):
        pen.line((reach[0], y, reach[1], y), fill=_INK, width=4)
    pen.line((reach[1], 330, reach[1], 480), fill=_INK, width=4)
    font = ImageFont.load_default(44)
    words = f"{size_mm / 2:.0f} mm"
    pen.text((reach[1], 520), words, fill=_INK, font=font, anchor="ma")


def _belt_on_pulley(pen: ImageDraw.ImageDraw, sign: float, size_mm: float) -> None:
    """The belt under the take-up pulley, off to one side, its edge bright where it rubs."""
    middle, half = _WIDTH / 2, 470.0
    pen.rectangle((middle - half, 300, middle + half, 640), fill=_STEEL, outline=_INK, width=5)
    pen.rectangle((middle - half - 90, 440, middle + half + 90, 500), fill=_INK)
    off = sign * min(size_mm, 90)
    belt = (middle - 370 + off, 0, middle + 370 + off, 640)
    pen.rectangle(belt, fill=_RUBBER, outline=_INK, width=4)
    edge = belt[2] if sign > 0 else belt[0]
    pen.line((edge - sign * 8, 0, edge - sign * 8, 640), fill=_PAPER, width=10)


_DRAWN: dict[str, tuple[tuple[str, Drawn], ...]] = {
    "take_up_ropes_uneven": (
        ("Carriage hangs crooked between its guides, one rope slack", _carriage),
        ("Clips of the long rope have slipped against the other side's", _clips),
        ("Belt under the take-up pulley, its edge worn bright", _belt_on_pulley),
    ),
}
