"""A picture as it is kept: upright, small enough, with nothing in it but what it shows.

What somebody sends is decoded and written anew as JPEG, so that neither the place where the phone
was nor anything hidden in the file goes any farther.
"""

import io
import logging
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from PIL import Image

from plant.errors import DomainError
from plant.jpeg_scans import scans_of

logger = logging.getLogger(__name__)

MOST_BYTES = 10_000_000
MOST_PIXELS = 40_000_000
LONGEST_PX = 1600
SMALL_PX = 320
_QUALITY = 85
_MEGA = 1_000_000
_READ = ("JPEG", "PNG", "WEBP")
# How files of these kinds begin.
_JPEG = b"\xff\xd8\xff"
_BEGINNINGS = (_JPEG, b"\x89PNG\r\n\x1a\n", b"RIFF")
# Every scan of a JPEG passes over the whole picture: cameras write one, programs about ten, and a
# file of 10 MB has room for enough to decode for hours.
_MOST_SCANS = 60
# RFC 9649: bytes up to the size of the canvas, which has 14 bits a side but in the extended form.
_WEBP_HEAD = 30
_14_BITS = 0x3FFF
# EXIF tags.
_ORIENTATION = 0x0112
_EXIF_IFD = 0x8769
_TAKEN = 0x9003
# What the camera says about how it was held, and what turns that upright.
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
# Brands in the first box of the file formats whose pictures no free decoder here reads.
_HEIF_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})
_AVIF_BRANDS = frozenset({b"avif", b"avis"})


class PictureRefused(DomainError):
    code = "picture_refused"


@dataclass(frozen=True)
class Picture:
    """JPEG as it is kept, and a small one for lists; width and height are those of `full`. [px]

    `camera_time` is when it was taken by the camera's own clock, which knows no zone.
    """

    full: bytes
    small: bytes
    width: int
    height: int
    camera_time: datetime | None = None


def read_picture(content: bytes) -> Picture:
    """Decode a JPEG, PNG or WebP and write it anew; refuses with PictureRefused."""
    if len(content) > MOST_BYTES:
        raise PictureRefused(too_large(len(content)))
    if content[4:8] == b"ftyp" and content[8:12] in _HEIF_BRANDS | _AVIF_BRANDS:
        raise PictureRefused(
            _("HEIC and AVIF pictures are not read here. Set the camera to “most compatible” or "
              "JPEG and take it again, or send a copy saved as JPEG.")
        )  # fmt: skip
    # The decoder of WebP sets aside the whole canvas when it opens: asked before it does.
    _check_pixels(*_size_of_webp(content))
    if content.startswith(_JPEG) and scans_of(content, _MOST_SCANS) > _MOST_SCANS:
        logger.info("A picture of more than %d scans.", _MOST_SCANS)
        raise PictureRefused(_broken())
    image = _opened(content)
    _check_pixels(image.width, image.height)
    upright = _decoded(image)
    return Picture(
        full=_as_jpeg(upright),
        small=_as_jpeg(_within(upright, SMALL_PX)),
        width=upright.width,
        height=upright.height,
        camera_time=_camera_time(image),
    )


def begins_as_picture(content: bytes) -> bool:
    """Whether it is worth reading; the brands that are refused by name count."""
    return content.startswith(_BEGINNINGS) or content[4:8] == b"ftyp"


def small_measures(width: int, height: int) -> tuple[int, int]:
    """Width and height of the small picture, so that a page does not jump. [px]"""
    share = min(SMALL_PX / max(width, height), 1.0)
    return max(round(width * share), 1), max(round(height * share), 1)


def too_large(size: int) -> str:
    return _(
        "The picture has %(size).1f MB; at most %(most)d MB are taken. Send a smaller copy."
    ) % {
        "size": size / _MEGA,
        "most": MOST_BYTES // _MEGA,
    }


def _check_pixels(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise PictureRefused(
            _("The picture has %(size).0f megapixels; at most %(most)d are taken. Send a smaller "
              "copy.")
            % {"size": width * height / _MEGA, "most": MOST_PIXELS // _MEGA}
        )  # fmt: skip


def _size_of_webp(content: bytes) -> tuple[int, int]:
    """Width and height as its first chunk claims them; 0 by 0 for what is no WebP. [px]"""
    if content[:4] != b"RIFF" or content[8:12] != b"WEBP" or len(content) < _WEBP_HEAD:
        return 0, 0
    if content[12:16] == b"VP8X":
        claimed = (content[24:27], content[27:30])
        width, height = (int.from_bytes(one, "little") + 1 for one in claimed)
        return width, height
    if content[12:16] == b"VP8L":
        both = int.from_bytes(content[21:25], "little")
        return (both & _14_BITS) + 1, (both >> 14 & _14_BITS) + 1
    if content[12:16] == b"VP8 ":
        claimed = (content[26:28], content[28:30])
        width, height = (int.from_bytes(one, "little") & _14_BITS for one in claimed)
        return width, height
    return 0, 0


def _opened(content: bytes) -> Image.Image:
    """The header alone: nothing of the size it claims is set aside yet."""
    try:
        return Image.open(io.BytesIO(content), formats=_READ)
    except Image.DecompressionBombError as error:
        raise PictureRefused(
            _("The picture claims far more than %(most)d megapixels. Send a smaller copy.")
            % {"most": MOST_PIXELS // _MEGA}
        ) from error
    # Decoders trip over hostile bytes in many ways; every one of them is the file's fault.
    except Exception as error:
        logger.info("Not a picture: %r", error)
        if content.startswith(_BEGINNINGS):
            raise PictureRefused(_broken()) from error
        raise PictureRefused(
            _("This is no picture that can be read. JPEG, PNG and WebP are taken, whatever the "
              "file is called.")
        ) from error  # fmt: skip


def _decoded(image: Image.Image) -> Image.Image:
    try:
        # A JPEG is decoded at a half or a quarter where that is still large enough.
        image.draft("RGB", (LONGEST_PX, LONGEST_PX))
        image.load()
        turn = _UPRIGHT.get(_orientation(image))
        plain = _plain(image)
        # In place: a picture of the largest size is held once, or twice where it is transparent.
        plain.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.LANCZOS)
    # As above: whatever the decoder raises says that the file is broken.
    except Exception as error:
        logger.info("A broken picture: %r", error)
        raise PictureRefused(_broken()) from error
    return plain.transpose(turn) if turn is not None else plain


def _broken() -> str:
    return _("The picture is broken or was cut off on its way. Take or send it again.")


def _orientation(image: Image.Image) -> int:
    """1, as it stands, where the camera's data cannot be read."""
    try:
        said = image.getexif().get(_ORIENTATION, 1)
    except Exception as error:
        logger.info("Unreadable camera data: %r", error)
        return 1
    return said if isinstance(said, int) else 1


def _camera_time(image: Image.Image) -> datetime | None:
    try:
        said = image.getexif().get_ifd(_EXIF_IFD).get(_TAKEN)
        if said is None:
            return None
        # Its zone is the plant's, which who keeps the picture knows.
        return datetime.strptime(str(said), "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
    except Exception as error:
        logger.info("No time in the camera's data: %r", error)
        return None


def _plain(image: Image.Image) -> Image.Image:
    """Three channels of a byte; what is transparent becomes white."""
    if image.mode.startswith("I;16"):
        image = image.convert("I").point(lambda value: value / 256).convert("L")
    if image.has_transparency_data:
        image = image if image.mode == "RGBA" else image.convert("RGBA")
        paper = Image.new("RGB", image.size, "white")
        paper.paste(image, mask=image)
        return paper
    return image if image.mode == "RGB" else image.convert("RGB")


def _within(image: Image.Image, longest_px: int) -> Image.Image:
    small = image.copy()
    small.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS)
    return small


def _as_jpeg(image: Image.Image) -> bytes:
    clean = image.copy()
    # Else the writer would carry over a comment or a profile of the file that was sent.
    clean.info = {}
    written = io.BytesIO()
    clean.save(written, "JPEG", quality=_QUALITY, optimize=True)
    return written.getvalue()
